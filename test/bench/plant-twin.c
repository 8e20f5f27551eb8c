// The plant of one fixed rig in C, to measure and to check the TypeScript against: the rig of
// sim/rig.ts with motor, supply, sea and dead-man, in the same order, without faults and sensors.
// Numbers that come from set-up are read from a file that plant-twin.ts writes.
//
//   plant-twin RIG STEPS EVERY   prints the state every so many steps; EVERY 0: the time taken

#define _POSIX_C_SOURCE 199309L
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "plant-path.h"

#define STEP_S 0.1
#define ON_STEPS 12000
#define CYCLE_STEPS 15000
#define RUN_S_MAX 15300.0
#define TRACE_VOLTS 1e-12
#define RUN_UP_S 0.08
#define RISE_K 60.0
#define HEATING_S 1800.0
#define CHARGING_VOLTS 14.4
#define FUSE_HOLDS 1.1
#define FUSE_MELTS_S 14.0
#define COOLING_S 43200.0
#define DAY_S 86400.0
#define SLOW_S 1.0
#define OFF_MIDDLE 0.4
#define POINTS 5

struct dead_man {
	double volts, keeps, dt_s, held_s;
	bool level, closed;
};

static void dead_man_compare(struct dead_man *d) { d->closed = d->volts >= (d->closed ? 0.72 : 2.0); }

static void dead_man_drive(struct dead_man *d, bool level) {
	if (level != d->level) {
		double swing = 5 - 2 * 0.28 - d->volts;
		d->volts += swing <= 0 ? 0 : (swing * 0.82e-6) / (0.82e-6 + 4.7e-6);
	}
	d->level = level;
	dead_man_compare(d);
}

static void dead_man_step(struct dead_man *d, double dt_s) {
	if (dt_s != d->dt_s) {
		d->dt_s = dt_s;
		d->keeps = exp(-dt_s / (154000 * (0.82e-6 + 4.7e-6)));
	}
	d->volts *= d->keeps;
	if (d->volts < TRACE_VOLTS) d->volts = 0;
	dead_man_compare(d);
	d->held_s = d->closed ? d->held_s + dt_s : 0;
}

struct motor {
	double speed, amps, case_c, case_max_c, on_seconds, dt_s, run_up, warming;
	double running_amps, stall_amps, rated_volts;
};

static void motor_step(
	struct motor *motor, const struct path *path, double dt_s, bool powered, double volts
) {
	if (dt_s != motor->dt_s) {
		motor->dt_s = dt_s;
		motor->run_up = -expm1(-dt_s / RUN_UP_S);
		motor->warming = -expm1(-dt_s / HEATING_S);
	}
	double target = powered ? 1 : 0;
	motor->speed += (target - motor->speed) * motor->run_up;
	if (fabs(target - motor->speed) < 1e-9) motor->speed = target;
	const struct kind *kind = &path->kind;
	double wet = kind->idle_share + kind->load_share * most(0, path->head_share);
	double share = wet + path->pump_air_share * (kind->dry_share - wet);
	double running = motor->running_amps * share;
	double stalled = motor->stall_amps * (volts / motor->rated_volts);
	motor->amps = powered ? running + (stalled - running) * (1 - motor->speed) : 0;
	if (powered) motor->on_seconds += dt_s;
}

static void motor_warm(struct motor *motor, double air_c) {
	double load = motor->amps / motor->running_amps;
	double target = air_c + RISE_K * load * load;
	motor->case_c += (target - motor->case_c) * motor->warming;
	if (motor->case_c > motor->case_max_c) motor->case_max_c = motor->case_c;
}

struct supply {
	double volts, volts_min, amp_hours, charge, charger_amps, ohm, fuse_a, rest, heat;
	double capacity_ah, rated_hours, exponent, curve_charge[POINTS], curve_volts[POINTS];
	bool fuse_melted;
};

static double along(const double *xs, const double *ys, double x) {
	int below = 0;
	while (below < POINTS - 2 && x > xs[below + 1]) below += 1;
	double share = least(1, most(0, (x - xs[below]) / (xs[below + 1] - xs[below])));
	return ys[below] + share * (ys[below + 1] - ys[below]);
}

static void supply_step(struct supply *supply, double dt_s, double amps) {
	supply->amp_hours += (amps * dt_s) / 3600;
	supply->volts = supply->rest - (amps - supply->charger_amps) * supply->ohm;
	if (supply->volts < supply->volts_min) supply->volts_min = supply->volts;
	double loaded = amps / supply->fuse_a;
	double over = loaded * loaded - FUSE_HOLDS * FUSE_HOLDS;
	supply->heat = most(0, supply->heat + over * dt_s);
	if (supply->heat > FUSE_MELTS_S) supply->fuse_melted = true;
}

static double effective_amps(const struct supply *supply, double amps) {
	double rated = supply->capacity_ah / supply->rated_hours;
	return amps <= rated ? amps : amps * pow(amps / rated, supply->exponent - 1);
}

static void supply_pass(struct supply *supply, double dt_s, double amps, double charger_max_a) {
	double before = along(supply->curve_charge, supply->curve_volts, supply->charge);
	double to_reach = (CHARGING_VOLTS - before) / supply->ohm + amps;
	supply->charger_amps = most(0, least(charger_max_a, to_reach));
	double out = amps - supply->charger_amps;
	double used = out > 0 ? effective_amps(supply, out) : out;
	double charge = supply->charge - (used * dt_s) / 3600 / supply->capacity_ah;
	supply->charge = least(1, most(0, charge));
	supply->rest += along(supply->curve_charge, supply->curve_volts, supply->charge) - before;
}

struct rig {
	struct path path;
	struct motor motor;
	struct supply supply;
	struct dead_man dead_man;
	double rad_per_s, side_rad, phase, air_c, air_swing_k, pressure_switch_kpa;
	double roll_rad, roll_tan, elapsed_s, water_at_probe_s, powered_s;
	double slow_s, slow_amp_seconds, returned_m3;
	bool demand, pressure_switch_open;
};

static double sea_roll_rad(const struct rig *rig) {
	if (rig->side_rad == 0) return 0;
	double turn = rig->rad_per_s * rig->elapsed_s + rig->phase;
	return rig->side_rad * (sin(turn) + (1.0 / 3) * sin(turn * (1 + 1.0 / 9)));
}

static void rig_pass(struct rig *rig) {
	struct path *path = &rig->path;
	struct fuel *fuel = &path->fuel;
	double slow_s = rig->slow_s;
	double day = sin((2 * PI * rig->elapsed_s) / DAY_S);
	double air_c = rig->air_c - rig->air_swing_k * day;
	fuel->celsius += ((air_c - fuel->celsius) * slow_s) / COOLING_S;
	if (fuel_refresh(fuel)) path_refresh(path);
	double flow_share = rig->returned_m3 / slow_s / path->curve.free_flow_m3s;
	tank_pass(&path->tank, fuel, slow_s, flow_share);
	element_melt(&path->element, fuel, slow_s, path->bowl.mixed);
	element_measure(&path->element);
	supply_pass(&rig->supply, slow_s, rig->slow_amp_seconds / slow_s, 0);
	rig->slow_s = 0;
	rig->slow_amp_seconds = 0;
	rig->returned_m3 = 0;
}

static void rig_watch(struct rig *rig, bool powered) {
	const struct path *path = &rig->path;
	if (powered) rig->powered_s = rig->elapsed_s;
	if (bowl_water_at_probe(&path->bowl, &path->fuel, rig->roll_tan)) {
		if (isnan(rig->water_at_probe_s)) rig->water_at_probe_s = rig->elapsed_s;
	} else {
		rig->water_at_probe_s = NAN;
	}
	rig->pressure_switch_open = path->discharge_kpa > rig->pressure_switch_kpa;
}

static void rig_advance(struct rig *rig, double dt_s) {
	struct path *path = &rig->path;
	struct motor *motor = &rig->motor;
	struct supply *supply = &rig->supply;
	dead_man_step(&rig->dead_man, dt_s);
	bool held = rig->dead_man.closed && rig->dead_man.held_s < RUN_S_MAX - 1e-9;
	bool powered = rig->demand && held && !supply->fuse_melted &&
		!rig->pressure_switch_open;
	motor_step(motor, path, dt_s, powered, supply->volts);
	supply_step(supply, dt_s, motor->amps);
	rig->roll_rad = sea_roll_rad(rig);
	double off_m = OFF_MIDDLE * path->tank.width_m;
	rig->roll_tan = rig->roll_rad == 0 ? 0 : tan(rig->roll_rad);
	double surface_m = off_m * rig->roll_tan;
	path_step(path, dt_s, powered, motor->speed, supply->volts / motor->rated_volts, surface_m);
	motor_warm(motor, rig->air_c);
	rig->elapsed_s += dt_s;
	rig->returned_m3 += path->pumped_m3;
	rig->slow_amp_seconds += motor->amps * dt_s;
	rig->slow_s += dt_s;
	if (rig->slow_s >= SLOW_S - 1e-9) rig_pass(rig);
	rig_watch(rig, powered);
}

// The order runs for 20 min and rests for 5, the beat changing at each step: driveAt() of the
// TypeScript.
static void rig_drive(struct rig *rig, long step) {
	rig->demand = step % CYCLE_STEPS < ON_STEPS;
	dead_man_drive(&rig->dead_man, rig->demand && step % 2 == 0);
}

#include "plant-file.h"

int main(int count, char **words) {
	if (count != 4) return fprintf(stderr, "plant-twin RIG STEPS EVERY\n"), 2;
	static struct rig rig;
	rig_read(&rig, words[1]);
	long steps = atol(words[2]);
	long every = atol(words[3]);
	struct timespec from, to;
	clock_gettime(CLOCK_MONOTONIC, &from);
	if (every > 0) rig_print(&rig, true);
	for (long step = 0; step < steps; step += 1) {
		rig_drive(&rig, step);
		rig_advance(&rig, STEP_S);
		if (every > 0 && (step + 1) % every == 0) rig_print(&rig, false);
	}
	clock_gettime(CLOCK_MONOTONIC, &to);
	double seconds = (double)(to.tv_sec - from.tv_sec) + 1e-9 * (double)(to.tv_nsec - from.tv_nsec);
	if (every == 0) printf("%.9g %.17g\n", seconds, rig.path.truth.litres_through_pump);
	return 0;
}
