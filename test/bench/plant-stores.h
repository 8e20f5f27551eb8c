// Suction line, bowl, element and tank in the C twin of the plant: sim/suction-line.ts, filter.ts
// and tank.ts, in the same order, without faults. Imports plant-circuit.h. Sources and units stand
// beside the same names in the TypeScript.

#include "plant-circuit.h"

#define RING 1024
#define PARCELS 128
#define PARCEL_M3_MIN 2e-6
#define GAS_J_MIN 1e-9

struct line {
	double capacity_m3, tube_m3, liquid_m3, gas_j, parcel_m3;
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
		int slot = (line->head + n) % RING;
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

static void line_add(struct line *line, int slot, double *from, double liquid_m3, double gas_j) {
	move_share(from, line->masses[slot], 1);
	line->liquid[slot] += liquid_m3;
	line->gas[slot] += gas_j;
	line->liquid_m3 += liquid_m3;
	line->gas_j += gas_j;
}

static void line_push_tail(struct line *line, double *from, double liquid_m3, double gas_j) {
	int slot = (line->head + line->count - 1 + RING) % RING;
	if (line->count == 0 || line_is_whole(line, slot)) {
		slot = (slot + 1) % RING;
		line_open(line, slot);
	}
	line_add(line, slot, from, liquid_m3, gas_j);
}

static void line_push_head(struct line *line, double *from, double liquid_m3, double gas_j) {
	if (line->count == 0 || line_is_whole(line, line->head)) {
		line->head = (line->head - 1 + RING) % RING;
		line_open(line, line->head);
	}
	line_add(line, line->head, from, liquid_m3, gas_j);
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
	double left = line->gas_j - line->moved_j;
	line->gas_j = left < GAS_J_MIN ? 0 : left;
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
		if (line->emptied) line->head = (line->head + 1) % RING;
	}
	return gas_j;
}

static void line_pop_tail(struct line *line, double volume, double pressure, double *to) {
	double left = volume;
	while (left > 0 && line->count > 0) {
		left -= line_take(line, (line->head + line->count - 1) % RING, left, pressure, to);
	}
}

static double line_liquid_in_tube_m3(const struct line *line, double pressure_pa) {
	if (line->gas_j == 0) return least(line->tube_m3, line->liquid_m3);
	double room = line->tube_m3;
	double sum = 0;
	for (int n = line->count - 1; n >= 0 && room > 0; n -= 1) {
		int slot = (line->head + n) % RING;
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
	double mixed_m3, fall_dt, fall_share;
};

static double bowl_measure(struct bowl *bowl, const struct fuel *fuel) {
	bowl->mixed_m3 = volume_m3(bowl->mixed, fuel->m3_per_kg);
	return bowl->mixed_m3 + volume_m3(bowl->sump, fuel->m3_per_kg);
}

static bool bowl_water_at_probe(const struct bowl *bowl, const struct fuel *fuel, double tilt_rad) {
	double lean = tilt_rad == 0 ? 0 : bowl->lean_m3 * fabs(tan(tilt_rad));
	return bowl->sump[FREE] * fuel->m3_per_kg[FREE] + lean >= bowl->probe_m3;
}

static void bowl_give_air(struct bowl *bowl, double joule) {
	double left = bowl->gas_j - joule;
	bowl->gas_j = left < BUBBLE_J ? 0 : left;
}

static void bowl_settle(struct bowl *bowl, const struct fuel *fuel, double dt_s) {
	if (dt_s != bowl->fall_dt) {
		bowl->fall_dt = dt_s;
		bowl->fall_share = -expm1(-dt_s / FALLING_S);
	}
	move_kg(bowl->mixed, bowl->sump, FREE, bowl->fall_share * bowl->mixed[FREE]);
	double per_m = (SPIN * bowl->area_m2 * dt_s) / bowl->capacity_m3;
	for (int i = COARSE; i < SPECIES; i += 1) {
		double share = per_m * fuel->settling_mps[i];
		if (share <= 0) continue;
		double kg = share * (1 - share / 2) * bowl->mixed[i];
		change(bowl->mixed, i, bowl->sump, i < DIRT ? FREE : i, kg);
	}
}

static void bowl_draw(struct bowl *bowl, const struct fuel *fuel, double volume, double *to) {
	double *mixed = bowl->mixed;
	double *sump = bowl->sump;
	double per_kg = fuel->m3_per_kg[FREE];
	double water_m3 = per_kg * (mixed[FREE] + sump[FREE]);
	double left = volume;
	double excess = least(volume, water_m3 - bowl->carryover_m3);
	if (excess > 0) {
		double kg = excess / per_kg;
		double of_mixed = move_kg(mixed, to, FREE, kg);
		bowl->mixed_m3 -= of_mixed * per_kg;
		excess = (of_mixed + move_kg(sump, to, FREE, kg - of_mixed)) * per_kg;
		left -= excess;
	}
	double still = mixed[FREE];
	mixed[FREE] = 0;
	double bulk = bowl->mixed_m3 - still * per_kg;
	double share = bulk <= 0 ? 0 : least(1, left / bulk);
	move_share(mixed, to, share);
	mixed[FREE] = still;
	bowl->mixed_m3 -= bulk * share;
}

struct element {
	double holds[SPECIES], held_share[SPECIES];
	double clean_pa_per_m3s, growth_pa_per_m3s, change_kg;
};

static double element_pa_per_m3s(
	const struct element *element, const struct fuel *fuel, double rated_pas
) {
	double cake = element->clean_pa_per_m3s +
		(element->growth_pa_per_m3s * dirt_kg(element->holds)) / element->change_kg;
	double wax = 1 + element->holds[FUEL] / WAX_DOUBLES_KG;
	return (cake * wax * fuel->liquid.dynamic_pas) / rated_pas;
}

static void element_filter(
	struct element *element, const struct fuel *fuel, double *through, double *sump
) {
	for (int i = DIRT; i < SPECIES; i += 1) {
		move_kg(through, element->holds, i, element->held_share[i] * through[i]);
	}
	for (int i = COARSE; i < DISSOLVED; i += 1) {
		change(through, i, sump, FREE, element->held_share[i] * through[i]);
	}
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
	double capacity_m3, floor_area_m2, width_m, bulk_then, room_m3, fall_m, run_m;
	double levels[LEVELS + 2];
};

static double tank_volume_m3(const struct tank *tank, const struct fuel *fuel) {
	return volume_m3(tank->bulk, fuel->m3_per_kg) + volume_m3(tank->floor, fuel->m3_per_kg);
}

static double tank_level_m(const struct tank *tank, double volume) {
	double at = least(most(0, volume / tank->capacity_m3), 1) * LEVELS;
	int i = (int)floor(at);
	double low = tank->levels[i];
	return low + (at - i) * (tank->levels[i + 1] - low);
}

static double tank_measure_dip_m(struct tank *tank, const struct fuel *fuel) {
	tank->bulk_then = volume_m3(tank->bulk, fuel->m3_per_kg);
	return tank_level_m(tank, tank->bulk_then + volume_m3(tank->floor, fuel->m3_per_kg));
}

static double tank_over_m3(struct tank *tank, const struct fuel *fuel) {
	if (tank->room_m3 > 0) return 0;
	double over = tank_volume_m3(tank, fuel) - tank->capacity_m3;
	tank->room_m3 = -over;
	return over;
}

static double tank_layer_m(const struct tank *tank, double volume) {
	if (tank->fall_m == 0) return tank_level_m(tank, volume);
	double wedge_m3 = (tank->fall_m * tank->floor_area_m2) / 2;
	if (volume >= wedge_m3) return tank->fall_m + (volume - wedge_m3) / tank->floor_area_m2;
	return sqrt((2 * volume * tank->fall_m) / (tank->run_m * tank->width_m));
}

static double tank_water_depth_m(const struct tank *tank, const struct fuel *fuel) {
	return tank_layer_m(tank, tank->floor[FREE] * fuel->m3_per_kg[FREE]);
}

static double tank_sludge_depth_m(const struct tank *tank) {
	double kg = dirt_kg(tank->floor);
	return kg == 0 ? 0 : tank_layer_m(tank, kg / SLUDGE_KG_M3);
}

static void tank_receive(struct tank *tank, const double *arrived, double arrived_m3) {
	tank->room_m3 -= arrived_m3;
	for (int i = 0; i < SPECIES; i += 1) tank->bulk[i] += arrived[i];
	tank->floor[FREE] += tank->bulk[FREE];
	tank->bulk[FREE] = 0;
}

static void tank_pass(struct tank *tank, const struct fuel *fuel, double dt_s, double stirring) {
	double *bulk = tank->bulk;
	double *floor = tank->floor;
	tank->room_m3 = tank->capacity_m3 - tank_volume_m3(tank, fuel);
	double height = volume_m3(bulk, fuel->m3_per_kg) / tank->floor_area_m2;
	if (height > 1e-3) {
		for (int i = COARSE; i < SPECIES; i += 1) {
			double speed = fuel->settling_mps[i];
			if (speed <= 0) continue;
			double kg = bulk[i] * -expm1((-speed * dt_s) / height);
			change(bulk, i, floor, i < DIRT ? FREE : i, kg);
		}
	}
	if (stirring > 0) {
		double lifted = (STIRRED_PER_HOUR / 3600) * stirring * dt_s;
		for (int i = DIRT; i < SPECIES; i += 1) change(floor, i, bulk, i, lifted * floor[i]);
		double broken = (BROKEN_PER_HOUR / 3600) * stirring * dt_s * floor[FREE];
		change(floor, FREE, bulk, COARSE, broken);
	}
	double gap = fuel->solubility * bulk[FUEL] - bulk[DISSOLVED];
	double share = dt_s / DISSOLVING_S;
	if (gap < 0) change(bulk, DISSOLVED, bulk, FINE, -gap * share);
	else change(bulk, FINE, bulk, DISSOLVED, least(gap, bulk[FINE]) * share);
}
