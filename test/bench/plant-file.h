// What the C twin of the plant reads and prints: the rig's file of named numbers in a fixed order,
// and the state as a table whose first line names the columns. Included by plant-twin.c alone.

static void take(FILE *file, const char *name, double *to, int count) {
	char word[32];
	if (fscanf(file, "%31s", word) != 1 || strcmp(word, name) != 0) {
		fprintf(stderr, "the rig's file lacks %s in its place\n", name);
		exit(2);
	}
	for (int i = 0; i < count; i += 1) {
		if (fscanf(file, "%lf", &to[i]) != 1) {
			fprintf(stderr, "the rig's file holds fewer than %d numbers for %s\n", count, name);
			exit(2);
		}
	}
}

static void read_pipe(FILE *file, const char *name, struct pipe *pipe) {
	double from[4];
	take(file, name, from, 4);
	*pipe = (struct pipe){ from[0], from[1], from[2], from[3] };
}

static void read_fuel(FILE *file, struct fuel *fuel) {
	take(file, "density15", &fuel->density15_kg_m3, 1);
	take(file, "viscosity40", &fuel->viscosity40_mm2s, 1);
	take(file, "slope", &fuel->slope, 1);
	take(file, "cloudPoint", &fuel->cloud_point_c, 1);
	take(file, "fame", &fuel->fame_pct, 1);
	take(file, "fuelC", &fuel->celsius, 1);
	fuel_begin(fuel);
}

static void read_tank(FILE *file, struct tank *tank) {
	take(file, "capacity", &tank->capacity_m3, 1);
	take(file, "floorArea", &tank->floor_area_m2, 1);
	take(file, "width", &tank->width_m, 1);
	take(file, "floorFall", &tank->fall_m, 1);
	take(file, "levels", tank->levels, LEVELS + 1);
	take(file, "bulk", tank->bulk, SPECIES);
	take(file, "floor", tank->floor, SPECIES);
	tank->levels[LEVELS + 1] = tank->levels[LEVELS];
	tank->levels_per_m3 = LEVELS / tank->capacity_m3;
	tank->wedge_m3 = (tank->fall_m * tank->floor_area_m2) / 2;
	tank->wedge_m2_per_m3 = (2 * tank->fall_m) / tank->floor_area_m2;
}

static void read_filter(FILE *file, struct bowl *bowl, struct element *element, double flow_m3s) {
	double from[4];
	// Volume, water to the probe, water from there to the outlet, mL; diameter, mm.
	take(file, "bowl", from, 4);
	bowl->capacity_m3 = from[0] * 1e-6;
	bowl->area_m2 = (PI / 4) * (from[3] * 1e-3 * (from[3] * 1e-3));
	bowl->lean_m3 = bowl->area_m2 * 0.25 * sqrt(bowl->area_m2 / PI);
	bowl->probe_m3 = from[1] * 1e-6;
	bowl->carryover_m3 = bowl->probe_m3 + from[2] * 1e-6;
	bowl->headspace_m3 = least(20e-6, 0.3 * bowl->capacity_m3);
	take(file, "mixed", bowl->mixed, SPECIES);
	take(file, "bowlGas", &bowl->gas_j, 1);
	take(file, "heldShare", element->held_share, SPECIES);
	// Drop when clean and when due, kPa, and the dirt between them, g.
	take(file, "element", from, 3);
	element->clean_pa_per_m3s = (from[0] * 1e3) / flow_m3s;
	double growth = ((from[1] - from[0]) * 1e3) / flow_m3s;
	element->growth_pa_per_m3s_kg = growth / (from[2] / 1e3);
}

static void read_pump(FILE *file, struct path *path) {
	double from[6];
	take(file, "kind", from, 6);
	path->kind = (struct kind){ from[0], from[1], from[2], from[3], from[4], from[5] };
	take(file, "curve", from, 4);
	path->curve = (struct curve){ from[0], from[1], from[2], from[3] };
	take(file, "ratedViscosity", &path->rated_pas, 1);
	take(file, "pumpHeight", &path->pump_m, 1);
	take(file, "clearance", &path->clearance_m, 1);
}

static void read_path(FILE *file, struct path *path) {
	take(file, "atmosphere", &path->atmosphere_pa, 1);
	read_fuel(file, &path->fuel);
	read_tank(file, &path->tank);
	tank_measure_floor(&path->tank, &path->fuel);
	read_pump(file, path);
	struct circuit *c = &path->circuit;
	read_pipe(file, "tube", &c->tube.pipe);
	read_pipe(file, "hose", &c->hose.pipe);
	read_pipe(file, "returns", &c->returns.pipe);
	read_filter(file, &path->bowl, &path->element, path->curve.free_flow_m3s);
	path->low_m = most(0, path->clearance_m - REACH_M);
	path->reach_m = path->clearance_m + REACH_M - path->low_m;
	double rise = path->pump_m - path->clearance_m;
	path->tube_rise_m = least(c->tube.pipe.length_m, most(0, rise));
	path->hose_rise_m = rise - path->tube_rise_m;
	c->tube_share = 1;
	c->hose_share = 1;
	c->bowl_pa = path->atmosphere_pa;
	struct line *line = &path->line;
	line->tube_m3 = conduit_volume_m3(&c->tube);
	line->hose_m3 = conduit_volume_m3(&c->hose);
	line->capacity_m3 = line->tube_m3 + line->hose_m3;
	c->column_max_m = rise;
	line->parcel_m3 = most(PARCEL_M3_MIN, line->capacity_m3 / PARCELS);
	line_open(line, 0);
	line_grow(line, 0, path->atmosphere_pa * line->capacity_m3);
	path_refresh(path);
}

static void rig_read(struct rig *rig, const char *name) {
	FILE *file = fopen(name, "r");
	if (file == NULL) {
		fprintf(stderr, "no file %s\n", name);
		exit(2);
	}
	read_path(file, &rig->path);
	double from[3];
	// Running and stalled, A; rated, V.
	take(file, "motor", from, 3);
	rig->motor.running_amps = from[0];
	rig->motor.stall_amps = from[1];
	rig->motor.rated_volts = from[2];
	struct supply *supply = &rig->supply;
	take(file, "battery", from, 3);
	supply->capacity_ah = from[0];
	supply->rated_hours = from[1];
	supply->exponent = from[2];
	take(file, "ohm", &supply->ohm, 1);
	take(file, "fuse", &supply->fuse_a, 1);
	take(file, "volts", &supply->rest, 1);
	supply->volts = supply->volts_min = supply->rest;
	take(file, "charge", &supply->charge, 1);
	take(file, "restCharge", supply->curve_charge, POINTS);
	take(file, "restVolts", supply->curve_volts, POINTS);
	double roll_deg, period_s;
	take(file, "roll", &roll_deg, 1);
	take(file, "period", &period_s, 1);
	take(file, "phase", &rig->phase, 1);
	rig->rad_per_s = (2 * PI) / period_s;
	rig->side_rad = (roll_deg * PI) / 180 / (1 + 1.0 / 3);
	take(file, "air", &rig->air_c, 1);
	take(file, "airSwing", &rig->air_swing_k, 1);
	take(file, "pressureSwitch", &rig->pressure_switch_kpa, 1);
	fclose(file);
	rig->motor.case_c = rig->motor.case_max_c = rig->air_c;
	rig->dead_man.keeps = 1;
	rig->water_at_probe_s = rig->powered_s = NAN;
}

// The table's columns: names and order are those of STATE in plant-twin.ts.
static void rig_print(const struct rig *rig, bool names) {
	const struct path *path = &rig->path;
	const struct circuit *c = &path->circuit;
	const struct { const char *name; const double *at; int count; } columns[] = {
		{ "elapsedS", &rig->elapsed_s, 1 },
		{ "lastPoweredS", &rig->powered_s, 1 },
		{ "waterAtProbeS", &rig->water_at_probe_s, 1 },
		{ "rollRad", &rig->roll_rad, 1 },
		{ "reservoirVolts", &rig->dead_man.volts, 1 },
		{ "litresThroughPump", &path->truth.litres_through_pump, 1 },
		{ "litresReturned", &path->truth.litres_returned, 1 },
		{ "litresSpilled", &path->truth.litres_spilled, 1 },
		{ "freeWaterPastBowlMl", &path->truth.free_water_past_bowl_ml, 1 },
		{ "dispersedWaterPastElementMl", &path->truth.dispersed_water_past_element_ml, 1 },
		{ "dryPumpSeconds", &path->truth.dry_pump_seconds, 1 },
		{ "vacuumKpa", &path->vacuum_kpa, 1 },
		{ "dischargeKpa", &path->discharge_kpa, 1 },
		{ "pumpedM3", &path->pumped_m3, 1 },
		{ "pumpedAirM3", &path->pumped_air_m3, 1 },
		{ "pumpAirShare", &path->pump_air_share, 1 },
		{ "headShare", &path->head_share, 1 },
		{ "outM3s", &c->out_m3s, 1 },
		{ "inM3s", &c->in_m3s, 1 },
		{ "bowlPa", &c->bowl_pa, 1 },
		{ "inletPa", &c->inlet_pa, 1 },
		{ "bowlGasJ", &path->bowl.gas_j, 1 },
		{ "lineGasJ", &path->line.gas_j, 1 },
		{ "lineM3", &path->line.liquid_m3, 1 },
		{ "bulk", path->tank.bulk, SPECIES },
		{ "floor", path->tank.floor, SPECIES },
		{ "mixed", path->bowl.mixed, SPECIES },
		{ "sump", path->bowl.sump, SPECIES },
		{ "element", path->element.holds, SPECIES },
		{ "speed", &rig->motor.speed, 1 },
		{ "amps", &rig->motor.amps, 1 },
		{ "caseC", &rig->motor.case_c, 1 },
		{ "caseMaxC", &rig->motor.case_max_c, 1 },
		{ "onSeconds", &rig->motor.on_seconds, 1 },
		{ "volts", &rig->supply.volts, 1 },
		{ "voltsMin", &rig->supply.volts_min, 1 },
		{ "ampHours", &rig->supply.amp_hours, 1 },
		{ "charge", &rig->supply.charge, 1 },
		{ "fuelC", &path->fuel.celsius, 1 },
		{ "densityKgM3", &path->fuel.liquid.density_kg_m3, 1 },
		{ "dynamicPas", &path->fuel.liquid.dynamic_pas, 1 },
		{ "settlingMps", path->fuel.settling_mps, SPECIES },
	};
	for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i += 1) {
		for (int n = 0; n < columns[i].count; n += 1) {
			if (!names) printf(" %.17g", columns[i].at[n]);
			else if (columns[i].count == 1) printf(" %s", columns[i].name);
			else printf(" %s.%d", columns[i].name, n);
		}
	}
	printf("\n");
}
