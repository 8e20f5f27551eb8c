// Suction line, bowl, element and tank in the C twin of the plant: sim/suction-line.ts, filter.ts
// and tank.ts, in the same order, without faults. Imports plant-circuit.h. Sources and units stand
// beside the same names in the TypeScript.

#include "plant-circuit.h"

#define RING 1024
#define ROUND (RING - 1)
#define PARCELS 128
#define PARCEL_M3_MIN 2e-6
#define GAS_J_MIN 1e-9

struct line {
	double capacity_m3, tube_m3, hose_m3, liquid_m3, gas_j, parcel_m3;
	double masses[RING][SPECIES], liquid[RING], gas[RING];
	int head, count;
	double moved_j;
	bool emptied;
};

static inline double line_volume_m3(const struct line *line, double pressure_pa) {
	return line->liquid_m3 + line->gas_j / pressure_pa;
}

static void line_refresh(struct line *line, const double *m3_per_kg) {
	line->liquid_m3 = 0;
	for (int n = 0; n < line->count; n += 1) {
		int slot = (line->head + n) & ROUND;
		double m3 = volume_m3(line->masses[slot], m3_per_kg);
		line->liquid[slot] = m3;
		line->liquid_m3 += m3;
	}
}

static bool line_is_whole(const struct line *line, int slot) {
	if (line->count >= RING) return false;
	return line->liquid[slot] + line->gas[slot] / 1e5 >= line->parcel_m3;
}

static void line_open(struct line *line, int slot) {
	memset(line->masses[slot], 0, sizeof line->masses[slot]);
	line->liquid[slot] = 0;
	line->gas[slot] = 0;
	line->count += 1;
}

static void line_add(struct line *line, int slot, double liquid_m3, double gas_j) {
	line->liquid[slot] += liquid_m3;
	line->gas[slot] += gas_j;
	line->liquid_m3 += liquid_m3;
	line->gas_j += gas_j;
}

static double *line_tail(struct line *line) {
	int slot = (line->head + line->count - 1) & ROUND;
	if (line->count == 0 || line_is_whole(line, slot)) {
		slot = (slot + 1) & ROUND;
		line_open(line, slot);
	}
	return line->masses[slot];
}

static void line_grow(struct line *line, double liquid_m3, double gas_j) {
	line_add(line, (line->head + line->count - 1) & ROUND, liquid_m3, gas_j);
}

static void line_push_head(struct line *line, double *from, double liquid_m3, double gas_j) {
	if (line->count == 0 || line_is_whole(line, line->head)) {
		line->head = (line->head - 1) & ROUND;
		line_open(line, line->head);
	}
	move_all(from, line->masses[line->head]);
	line_add(line, line->head, liquid_m3, gas_j);
}

static double line_take(struct line *line, int slot, double volume, double pressure, double *to) {
	double liquid = line->liquid[slot];
	double gas = line->gas[slot];
	double all = liquid + gas / pressure;
	line->emptied = all <= volume;
	double share = line->emptied ? 1 : volume / all;
	move_share(line->masses[slot], to, share);
	line->moved_j = gas * share;
	line->liquid[slot] = liquid - liquid * share;
	line->gas[slot] = gas - line->moved_j;
	line->liquid_m3 -= liquid * share;
	double gas_left = line->gas_j - line->moved_j;
	line->gas_j = gas_left < GAS_J_MIN ? 0 : gas_left;
	if (line->emptied) {
		line->count -= 1;
		if (line->count == 0) line->liquid_m3 = 0;
		return all;
	}
	return volume;
}

static double line_pop_head(struct line *line, double volume, double pressure, double *to) {
	double gas_j = 0;
	double left = volume;
	while (left > 0 && line->count > 0) {
		double taken = line_take(line, line->head, left, pressure, to);
		gas_j += line->moved_j;
		left -= taken;
		if (line->emptied) line->head = (line->head + 1) & ROUND;
	}
	return gas_j;
}

static void line_pop_tail(struct line *line, double volume, double pressure, double *to) {
	double left = volume;
	while (left > 0 && line->count > 0) {
		left -= line_take(line, (line->head + line->count - 1) & ROUND, left, pressure, to);
	}
}

static double line_liquid_in_tube_m3(const struct line *line, double pressure_pa) {
	if (line->gas_j <= 0) return least(line->tube_m3, line->liquid_m3);
	double room = line->tube_m3;
	double sum = 0;
	for (int n = line->count - 1; n >= 0 && room > 0; n -= 1) {
		int slot = (line->head + n) & ROUND;
		double liquid = line->liquid[slot];
		double all = liquid + line->gas[slot] / pressure_pa;
		if (all > room) return sum + (liquid * room) / all;
		sum += liquid;
		room -= all;
	}
	return sum;
}

#define FALLING_S 5.0
#define SPIN 4.0
#define BUBBLE_J 1e-9
#define WAX_PER_K 1e-3
#define WAX_HELD 0.8
#define WAX_DOUBLES_KG 0.02
#define WAX_MELTS_S 300.0

struct bowl {
	double mixed[SPECIES], sump[SPECIES];
	double capacity_m3, gas_j, area_m2, lean_m3, probe_m3, carryover_m3, headspace_m3;
	double mixed_m3, fall_dt, falls[SPECIES];
};

static double bowl_measure(struct bowl *bowl, const struct fuel *fuel) {
	bowl->mixed_m3 = volume_m3(bowl->mixed, fuel->m3_per_kg);
	return bowl->mixed_m3 + volume_m3(bowl->sump, fuel->m3_per_kg);
}

static bool bowl_water_at_probe(const struct bowl *bowl, const struct fuel *fuel, double tilt_tan) {
	double lean = bowl->lean_m3 * fabs(tilt_tan);
	return bowl->sump[FREE] * fuel->m3_per_kg[FREE] + lean >= bowl->probe_m3;
}

static void bowl_give_air(struct bowl *bowl, double joule) {
	double left = bowl->gas_j - joule;
	bowl->gas_j = left < BUBBLE_J ? 0 : left;
}

static void bowl_refresh(struct bowl *bowl, const struct fuel *fuel) {
	bowl->falls[FREE] = -expm1(-bowl->fall_dt / FALLING_S);
	double per_m = (SPIN * bowl->area_m2 * bowl->fall_dt) / bowl->capacity_m3;
	for (int i = COARSE; i < SPECIES; i += 1) {
		double share = most(0, per_m * fuel->settling_mps[i]);
		bowl->falls[i] = share * (1 - share / 2);
	}
}

static void bowl_settle(struct bowl *bowl, const struct fuel *fuel, double dt_s) {
	if (dt_s != bowl->fall_dt) {
		bowl->fall_dt = dt_s;
		bowl_refresh(bowl, fuel);
	}
	separate(bowl->mixed, bowl->falls, bowl->sump, bowl->sump);
}

static double bowl_carry_over(
	struct bowl *bowl, double wanted_m3, double per_kg, double *to
) {
	double kg = wanted_m3 / per_kg;
	double of_mixed = move_kg(bowl->mixed, to, FREE, kg);
	bowl->mixed_m3 -= of_mixed * per_kg;
	return (of_mixed + move_kg(bowl->sump, to, FREE, kg - of_mixed)) * per_kg;
}

static void bowl_draw(struct bowl *bowl, const struct fuel *fuel, double volume, double *to) {
	double *mixed = bowl->mixed;
	double per_kg = fuel->m3_per_kg[FREE];
	double left = volume;
	double over_m3 = per_kg * (mixed[FREE] + bowl->sump[FREE]) - bowl->carryover_m3;
	if (over_m3 > 0) left -= bowl_carry_over(bowl, least(over_m3, left), per_kg, to);
	double still = mixed[FREE];
	mixed[FREE] = 0;
	double bulk = bowl->mixed_m3 - still * per_kg;
	double share = bulk <= 0 ? 0 : left < bulk ? left / bulk : 1;
	move_share(mixed, to, share);
	mixed[FREE] = still;
	bowl->mixed_m3 -= bulk * share;
}

struct element {
	double holds[SPECIES], held_share[SPECIES];
	double clean_pa_per_m3s, growth_pa_per_m3s_kg, thicker, pa_per_m3s;
};

static void element_measure(struct element *element) {
	double cake = element->clean_pa_per_m3s +
		element->growth_pa_per_m3s_kg * dirt_kg(element->holds);
	double wax = 1 + element->holds[FUEL] * (1 / WAX_DOUBLES_KG);
	element->pa_per_m3s = cake * wax * element->thicker;
}

static void element_filter(
	struct element *element, const struct fuel *fuel, double *through, double *sump
) {
	separate(through, element->held_share, sump, element->holds);
	double below = fuel->cloud_point_c - fuel->celsius;
	if (below > 0) {
		move_kg(through, element->holds, FUEL, WAX_HELD * WAX_PER_K * below * through[FUEL]);
	}
}

static void element_melt(
	struct element *element, const struct fuel *fuel, double dt_s, double *into
) {
	if (fuel->celsius <= fuel->cloud_point_c) return;
	move_kg(element->holds, into, FUEL, (dt_s / WAX_MELTS_S) * element->holds[FUEL]);
}

#define LEVELS 512
#define SLUDGE_KG_M3 150.0
#define STIRRED_PER_HOUR 0.04
#define BROKEN_PER_HOUR 0.02
#define DISSOLVING_S 3600.0

struct tank {
	double bulk[SPECIES], floor[SPECIES];
	double capacity_m3, floor_area_m2, width_m, room_m3, fall_m;
	double bulk_then, volume_then, dip_then, floor_then, water_then_m, sludge_then_m;
	double wedge_m3, wedge_m2_per_m3, levels_per_m3;
	double levels[LEVELS + 2];
};

static double tank_volume_m3(const struct tank *tank, const struct fuel *fuel) {
	return volume_m3(tank->bulk, fuel->m3_per_kg) + volume_m3(tank->floor, fuel->m3_per_kg);
}

static double tank_level_m(const struct tank *tank, double volume) {
	double at = volume * tank->levels_per_m3;
	int i = at < LEVELS ? (int)at : LEVELS;
	double low = tank->levels[i];
	return low + (at - i) * (tank->levels[i + 1] - low);
}

static void tank_measure(struct tank *tank, const struct fuel *fuel) {
	tank->bulk_then = volume_m3(tank->bulk, fuel->m3_per_kg);
	tank->volume_then = tank->bulk_then + tank->floor_then;
	tank->dip_then = tank_level_m(tank, tank->volume_then);
}

static double tank_over_m3(struct tank *tank, const struct fuel *fuel) {
	if (tank->room_m3 > 0) return 0;
	double over = tank_volume_m3(tank, fuel) - tank->capacity_m3;
	tank->room_m3 = -over;
	return over;
}

static double tank_layer_m(const struct tank *tank, double volume) {
	if (volume < tank->wedge_m3) return sqrt(volume * tank->wedge_m2_per_m3);
	if (tank->fall_m == 0) return tank_level_m(tank, volume);
	return tank->fall_m + (volume - tank->wedge_m3) / tank->floor_area_m2;
}

static void tank_measure_floor(struct tank *tank, const struct fuel *fuel) {
	double kg = dirt_kg(tank->floor);
	tank->floor_then = volume_m3(tank->floor, fuel->m3_per_kg);
	tank->water_then_m = tank_layer_m(tank, tank->floor[FREE] * fuel->m3_per_kg[FREE]);
	tank->sludge_then_m = kg == 0 ? 0 : tank_layer_m(tank, kg / SLUDGE_KG_M3);
}

static void tank_receive(struct tank *tank, double *arrived, double arrived_m3) {
	tank->room_m3 -= arrived_m3;
	move_all(arrived, tank->bulk);
	tank->floor[FREE] += tank->bulk[FREE];
	tank->bulk[FREE] = 0;
}

static void tank_pass(struct tank *tank, const struct fuel *fuel, double dt_s, double stirring) {
	double *bulk = tank->bulk;
	double *floor = tank->floor;
	tank_measure_floor(tank, fuel);
	tank_measure(tank, fuel);
	tank->room_m3 = tank->capacity_m3 - tank->volume_then;
	double height = tank->bulk_then / tank->floor_area_m2;
	if (height > 1e-3) {
		double falls[SPECIES] = { 0 };
		for (int i = COARSE; i < SPECIES; i += 1) {
			double speed = fuel->settling_mps[i];
			if (speed > 0) falls[i] = -expm1((-speed * dt_s) / height);
		}
		separate(bulk, falls, floor, floor);
	}
	if (stirring > 0) {
		move_dirt(floor, bulk, (STIRRED_PER_HOUR / 3600) * stirring * dt_s);
		double broken = (BROKEN_PER_HOUR / 3600) * stirring * dt_s * floor[FREE];
		change(floor, FREE, bulk, COARSE, broken);
	}
	double gap = fuel->solubility * bulk[FUEL] - bulk[DISSOLVED];
	double share = dt_s / DISSOLVING_S;
	if (gap < 0) change(bulk, DISSOLVED, bulk, FINE, -gap * share);
	else change(bulk, FINE, bulk, DISSOLVED, least(gap, bulk[FINE]) * share);
}
