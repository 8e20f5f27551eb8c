// Stores and the fuel's properties in the C twin of the plant: sim/species.ts, sim/fuel.ts and the
// formulas under them (diesel, viscosity, volume-correction, settling), in the same order. Imports
// the C library alone. Sources and units stand beside the same names in the TypeScript.

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum { FUEL, FREE, COARSE, FINE, DISSOLVED, DIRT, SPECIES = 9 };

#define PI 3.141592653589793
#define GRAVITY_MS2 9.80665
#define WATER_DENSITY_KG_M3 999.0
#define DIRT_DENSITY_KG_M3 1500.0
#define TRACE_KG 1e-18
#define STEP_K 0.02

static const double DIRT_MICRON[SPECIES - DIRT] = { 4, 10, 20, 45 };

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

static inline void move_share(double *from, double *to, double share) {
	for (int i = 0; i < SPECIES; i += 1) {
		double kg = from[i] * share;
		from[i] -= kg;
		to[i] += kg;
	}
}

static inline void move_all(double *from, double *to) {
	for (int i = 0; i < SPECIES; i += 1) to[i] += from[i];
	memset(from, 0, SPECIES * sizeof *from);
}

static inline double take_share(double *from, int species, double share) {
	double held = from[species];
	double left = held - held * share;
	if (left < TRACE_KG) left = 0;
	from[species] = left;
	return held - left;
}

static inline void separate(double *from, const double *shares, double *water, double *dirt) {
	double water_kg = 0;
	for (int i = FREE; i <= FINE; i += 1) water_kg += take_share(from, i, shares[i]);
	water[FREE] += water_kg;
	for (int i = DIRT; i < SPECIES; i += 1) dirt[i] += take_share(from, i, shares[i]);
}

static inline void move_dirt(double *from, double *to, double share) {
	for (int i = DIRT; i < SPECIES; i += 1) to[i] += take_share(from, i, share);
}

static inline double change(double *from, int species, double *to, int becomes, double kg) {
	double held = from[species];
	double moved = held - kg < TRACE_KG ? held : most(0, kg);
	from[species] = held - moved;
	to[becomes] += moved;
	return moved;
}

static inline double move_kg(double *from, double *to, int species, double kg) {
	return change(from, species, to, species, kg);
}

static inline double dirt_kg(const double *masses) {
	return masses[DIRT] + masses[DIRT + 1] + (masses[DIRT + 2] + masses[DIRT + 3]);
}

static inline double volume_m3(const double *masses, const double *m3_per_kg) {
	double water = masses[FREE] + masses[COARSE] + (masses[FINE] + masses[DISSOLVED]);
	return masses[FUEL] * m3_per_kg[FUEL] +
		(water * m3_per_kg[FREE] + dirt_kg(masses) * m3_per_kg[DIRT]);
}

struct liquid {
	double density_kg_m3, dynamic_pas;
};

struct fuel {
	double density15_kg_m3, viscosity40_mm2s, slope, cloud_point_c, fame_pct;
	double celsius, known_c, solubility;
	struct liquid liquid;
	double m3_per_kg[SPECIES], settling_mps[SPECIES];
};

static double expansion_54b_per_k(double rho) {
	if (rho >= 838.5) return (186.9696 + 0.4862 * rho) / (rho * rho);
	if (rho >= 787.5) return 594.5418 / (rho * rho);
	if (rho > 770) return -0.00336312 + 2680.3206 / (rho * rho);
	return (346.4228 + 0.4388 * rho) / (rho * rho);
}

static double double_log(double mm2s) { return log10(log10(mm2s + 0.7)); }

static struct liquid liquid_at(const struct fuel *fuel, double celsius) {
	double strain = expansion_54b_per_k(fuel->density15_kg_m3) * (celsius - 15);
	double density = fuel->density15_kg_m3 * exp(-strain * (1 + 0.8 * strain));
	double a = double_log(fuel->viscosity40_mm2s) + fuel->slope * log10(40 + 273.15);
	double y = a - fuel->slope * log10(celsius + 273.15);
	double mm2s = pow(10, pow(10, y)) - 0.7;
	return (struct liquid){ density, density * mm2s * 1e-6 };
}

static double saturation(double cold, double warm, double celsius) {
	double share = (celsius - 10) / (50 - 10);
	return cold * pow(warm / cold, share);
}

static double water_solubility_mg_kg(double celsius, double fame_share) {
	double diesel = saturation(100, 198, celsius);
	return diesel * (1 - fame_share) + saturation(1500, 1980, celsius) * fame_share;
}

static double stokes_mps(double diameter_m, double particle_kg_m3, struct liquid liquid) {
	double surplus = particle_kg_m3 - liquid.density_kg_m3;
	return (GRAVITY_MS2 * diameter_m * diameter_m * surplus) / (18 * liquid.dynamic_pas);
}

static double sphere_drag(double re) {
	double stokes = 24 / re;
	if (re < 0.01) return stokes;
	double published = 5.4856e9 * tanh(4.3774e-9 / re) + 0.0709 * tanh(700.6574 / re) +
		0.3894 * tanh(74.1539 / re) - 0.1198 * tanh(7429.0843 / re) +
		1.7174 * tanh(9.9851 / (re + 2.3384)) + 0.4744;
	if (re > 0.1) return published;
	double share = (re - 0.01) / 0.09;
	return share * published + (1 - share) * stokes;
}

static double terminal_mps(double diameter_m, double particle_kg_m3, struct liquid liquid) {
	double stokes = stokes_mps(diameter_m, particle_kg_m3, liquid);
	double stokes_re = (liquid.density_kg_m3 * fabs(stokes) * diameter_m) / liquid.dynamic_pas;
	double wanted = 24 * stokes_re;
	if (sphere_drag(stokes_re) * stokes_re * stokes_re <= wanted) return stokes;
	double low = 0;
	double high = stokes_re;
	for (int halving = 0; halving < 200; halving += 1) {
		double middle = (low + high) / 2;
		if (middle <= low || middle >= high) break;
		if (sphere_drag(middle) * middle * middle < wanted) low = middle;
		else high = middle;
	}
	return stokes * (high / stokes_re);
}

// True when the properties are new.
static bool fuel_refresh(struct fuel *fuel) {
	if (fabs(fuel->celsius - fuel->known_c) < STEP_K) return false;
	fuel->known_c = fuel->celsius;
	struct liquid liquid = liquid_at(fuel, fuel->celsius);
	fuel->liquid = liquid;
	fuel->solubility = water_solubility_mg_kg(fuel->celsius, fuel->fame_pct / 100) / 1e6;
	fuel->m3_per_kg[FUEL] = 1 / liquid.density_kg_m3;
	fuel->settling_mps[COARSE] = terminal_mps(120 * 1e-6, WATER_DENSITY_KG_M3, liquid);
	fuel->settling_mps[FINE] = terminal_mps(12 * 1e-6, WATER_DENSITY_KG_M3, liquid);
	for (int i = DIRT; i < SPECIES; i += 1) {
		double diameter_m = DIRT_MICRON[i - DIRT] * 1e-6;
		fuel->settling_mps[i] = stokes_mps(diameter_m, DIRT_DENSITY_KG_M3, liquid);
	}
	return true;
}

static void fuel_begin(struct fuel *fuel) {
	fuel->known_c = NAN;
	for (int i = FREE; i < DIRT; i += 1) fuel->m3_per_kg[i] = 1 / WATER_DENSITY_KG_M3;
	for (int i = DIRT; i < SPECIES; i += 1) fuel->m3_per_kg[i] = 1 / DIRT_DENSITY_KG_M3;
	fuel_refresh(fuel);
}
