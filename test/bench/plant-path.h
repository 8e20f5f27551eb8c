// The fuel's way in the C twin of the plant: sim/fuel-path.ts and pick-up.ts, in the same order, of
// one tank and without faults. Imports plant-stores.h. Sources and units stand beside the same
// names in the TypeScript.

#include "plant-stores.h"

#define STOPPED_PA_PER_M3S 3e9
#define AIR_RELEASE_PA 30e3
#define AIR_PER_PA 4e-6
#define DRY_SHARE 0.9
#define TRACE_M3 1e-15
#define LITRES 1e3
#define REACH_M 0.006
#define SLUDGE_SHARE 0.15

struct kind {
	double flow_by_volts, head_by_volts, head_by_viscosity, idle_share, load_share, dry_share;
};

struct curve {
	double free_flow_m3s, dead_head_pa, wet_suction_pa, dry_suction_pa;
};

struct truth {
	double litres_through_pump, litres_returned, litres_spilled, free_water_past_bowl_ml;
	double dispersed_water_past_element_ml, dry_pump_seconds;
};

struct path {
	struct fuel fuel;
	struct tank tank;
	struct circuit circuit;
	struct line line;
	struct bowl bowl;
	struct element element;
	struct kind kind;
	struct curve curve;
	struct truth truth;
	double pocket[SPECIES], spill[SPECIES], through[SPECIES], drawn[SPECIES];
	double clearance_m, low_m, reach_m, air_share;
	double atmosphere_pa, vacuum_kpa, discharge_kpa, pump_air_share, head_share;
	double pumped_m3, pumped_air_m3, rated_pas, dead_head_pa, pump_m, tube_rise_m, hose_rise_m;
};

static double clamp(double share) { return most(0, least(1, share)); }

static double pick_up_pocket(struct path *path, double liquid, double *to) {
	if (path->pocket[FREE] == 0) return 0;
	double per_kg = path->fuel.m3_per_kg[FREE];
	return move_kg(path->pocket, to, FREE, liquid / per_kg) * per_kg;
}

static double pick_up_sludge(
	struct tank *tank, double sludge_m3, double per_kg, double *to
) {
	double all = dirt_kg(tank->floor);
	double share = least(1, sludge_m3 * SLUDGE_KG_M3 / all);
	move_dirt(tank->floor, to, share);
	return share * all * per_kg;
}

static double pick_up_draw(struct path *path, double volume, double *to) {
	const struct fuel *fuel = &path->fuel;
	struct tank *tank = &path->tank;
	double liquid = volume * (1 - path->air_share);
	if (liquid <= 0) return 0;
	double water_m = tank->water_then_m;
	double sludge_m = tank->sludge_then_m;
	double got = pick_up_pocket(path, liquid, to);
	if (water_m > path->low_m) {
		double per_kg = fuel->m3_per_kg[FREE];
		double water = (liquid - got) * clamp((water_m - path->low_m) / path->reach_m);
		got += move_kg(tank->floor, to, FREE, water / per_kg) * per_kg;
	}
	if (sludge_m > path->low_m) {
		double near = SLUDGE_SHARE * clamp((sludge_m - path->low_m) / path->reach_m);
		got += pick_up_sludge(tank, (liquid - got) * near, fuel->m3_per_kg[DIRT], to);
	}
	double bulk = tank->bulk_then;
	if (got >= liquid || bulk <= 0) return got;
	double share = least(1, (liquid - got) / bulk);
	move_share(tank->bulk, to, share);
	return got + share * bulk;
}

static void path_refresh(struct path *path) {
	double thicker = path->fuel.liquid.dynamic_pas / path->rated_pas;
	path->dead_head_pa = path->curve.dead_head_pa * pow(thicker, path->kind.head_by_viscosity);
	circuit_fill(&path->circuit, path->fuel.liquid);
	line_refresh(&path->line, path->fuel.m3_per_kg);
	bowl_refresh(&path->bowl, &path->fuel);
	path->element.thicker = thicker;
	element_measure(&path->element);
}

static double by_volts(double factor, double volts_share) {
	return most(0, 1 + factor * (volts_share - 1));
}

static void path_pose_line(struct path *path, double pressure) {
	struct circuit *c = &path->circuit;
	const struct line *line = &path->line;
	double in_tube = line_liquid_in_tube_m3(line, pressure);
	c->tube_share = in_tube / line->tube_m3;
	c->hose_share = least(1, (line->liquid_m3 - in_tube) / line->hose_m3);
	c->column_m = path->tube_rise_m * c->tube_share + path->hose_rise_m * c->hose_share;
	c->column_m_per_m3 = 0;
	if (c->tube_share < 1 - 1e-9) {
		c->column_m_per_m3 = (path->tube_rise_m / line->tube_m3) * (1 - path->air_share);
	}
}

static void path_pose(
	struct path *path, bool powered, double speed, double volts_share, double depth_m
) {
	struct circuit *c = &path->circuit;
	const struct curve *curve = &path->curve;
	double weight = path->fuel.liquid.density_kg_m3 * GRAVITY_MS2;
	double pressure = c->bowl_pa;
	c->foot_pa = path->atmosphere_pa + (path->air_share >= 1 ? 0 : weight * most(0, depth_m));
	double end_m = powered ? path->pump_m : path->tank.dip_then;
	c->outlet_pa = path->atmosphere_pa + weight * (end_m - path->pump_m);
	double air = least(1, path->bowl.gas_j / pressure / path->bowl.headspace_m3);
	path->pump_air_share = air;
	double head = path->dead_head_pa * by_volts(path->kind.head_by_volts, volts_share);
	double vacuum = path->atmosphere_pa - c->inlet_pa;
	double released = most(0, vacuum - AIR_RELEASE_PA) * AIR_PER_PA;
	double free = (curve->free_flow_m3s * by_volts(path->kind.flow_by_volts, volts_share) * speed) /
		(1 + released);
	if (speed > 0.01) {
		c->head_pa = head;
		c->slope_pa_per_m3s = head / most(free, 1e-9);
	} else {
		c->head_pa = 0;
		c->slope_pa_per_m3s = STOPPED_PA_PER_M3S;
	}
	double limit = curve->wet_suction_pa + air * (curve->dry_suction_pa - curve->wet_suction_pa);
	c->inlet_pa_min = path->atmosphere_pa - limit;
	c->element_pa_per_m3s = path->element.pa_per_m3s;
	path_pose_line(path, pressure);
	c->gas_j = path->line.gas_j + path->bowl.gas_j;
	c->room_m3 = path->line.capacity_m3 + path->bowl.capacity_m3 - path->line.liquid_m3 -
		bowl_measure(&path->bowl, &path->fuel);
}

static void path_give_back(struct path *path, double volume) {
	struct tank *tank = &path->tank;
	tank_receive(tank, path->through, volume);
	path->truth.litres_returned += volume * LITRES;
	double over = tank_over_m3(tank, &path->fuel);
	if (over <= 0) return;
	double share = least(1, over / volume_m3(tank->bulk, path->fuel.m3_per_kg));
	move_share(tank->bulk, path->spill, share);
	path->truth.litres_spilled += over * LITRES;
}

static void path_deliver(struct path *path, double moved, double pressure) {
	const double *per_kg = path->fuel.m3_per_kg;
	double *through = path->through;
	double air = moved * path->pump_air_share;
	path->pumped_air_m3 = air;
	bowl_give_air(&path->bowl, air * pressure);
	if (moved <= 0) {
		path->pumped_m3 = 0;
		return;
	}
	bowl_draw(&path->bowl, &path->fuel, moved - air, through);
	path->truth.free_water_past_bowl_ml += through[FREE] * per_kg[FREE] * 1e6;
	element_filter(&path->element, &path->fuel, through, path->bowl.sump);
	double dispersed = through[COARSE] + through[FINE];
	path->truth.dispersed_water_past_element_ml += dispersed * per_kg[FINE] * 1e6;
	double volume = volume_m3(through, per_kg);
	path->pumped_m3 = volume;
	path->truth.litres_through_pump += volume * LITRES;
	path_give_back(path, volume);
}

static void path_draw(struct path *path, double moved, double pressure) {
	if (fabs(moved) < TRACE_M3) return;
	if (moved < 0) {
		line_pop_tail(&path->line, -moved, pressure, path->drawn);
		tank_receive(&path->tank, path->drawn, -moved);
		return;
	}
	double liquid = pick_up_draw(path, moved, line_tail(&path->line));
	line_grow(&path->line, liquid, most(0, moved - liquid) * pressure);
}

static void path_even(struct path *path, double pressure) {
	struct line *line = &path->line;
	struct bowl *bowl = &path->bowl;
	double over = line_volume_m3(line, pressure) - line->capacity_m3;
	if (over > TRACE_M3) {
		bowl->gas_j += line_pop_head(line, over, pressure, bowl->mixed);
	} else if (over < -TRACE_M3) {
		double air = least(-over, bowl->gas_j / pressure);
		bowl_give_air(bowl, air * pressure);
		double liquid = -over - air;
		if (liquid > 0) bowl_draw(bowl, &path->fuel, liquid, path->drawn);
		double drawn_m3 = volume_m3(path->drawn, path->fuel.m3_per_kg);
		line_push_head(line, path->drawn, drawn_m3, air * pressure);
	}
}

static void path_measure(struct path *path) {
	const struct circuit *c = &path->circuit;
	path->vacuum_kpa = (path->atmosphere_pa - c->inlet_pa) / 1e3;
	double out = c->outlet_pa + c->return_pa;
	path->discharge_kpa = (out - path->atmosphere_pa) / 1e3;
	path->head_share = c->head_pa > 0 ? (out - c->inlet_pa) / c->head_pa : 0;
}

static void path_step(
	struct path *path, double dt_s, bool powered, double speed, double volts_share,
	double surface_m
) {
	bowl_settle(&path->bowl, &path->fuel, dt_s);
	tank_measure(&path->tank, &path->fuel);
	double depth_m = path->tank.dip_then + surface_m - path->clearance_m;
	double up_m = REACH_M / 2 - depth_m;
	path->air_share = up_m >= REACH_M ? 1 : up_m > 0 ? up_m / REACH_M : 0;
	path_pose(path, powered, speed, volts_share, depth_m);
	circuit_solve(&path->circuit, dt_s, speed > 0.01);
	double pressure = path->circuit.bowl_pa;
	path_deliver(path, path->circuit.out_m3s * dt_s, pressure);
	path_draw(path, path->circuit.in_m3s * dt_s, pressure);
	path_even(path, pressure);
	path_measure(path);
	if (powered && path->pump_air_share > DRY_SHARE) path->truth.dry_pump_seconds += dt_s;
}
