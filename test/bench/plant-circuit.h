// Pipes and the hydraulic circuit in the C twin of the plant: sim/physics/pipe.ts and circuit.ts,
// in the same order. Imports plant-fuel.h. Sources and units stand beside the same names in the
// TypeScript.

#include "plant-fuel.h"

#define LAMINAR_RE 2040.0
#define TURBULENT_RE 4000.0
#define GAS_J_NONE 1e-5
#define FREE_M3S 1e-4
#define STEPS_MAX 40
#define LAMINAR_STEPS_MAX 8

struct pipe {
	double length_m, bore_m, roughness_m, loss_k;
};

static double colebrook(double re, double relative_roughness) {
	double rough = relative_roughness / 3.7;
	double smooth = 2.51 / re;
	double x = -1.8 * log10(pow(rough, 1.11) + 6.9 / re);
	for (int step = 0; step < 3; step += 1) {
		double inside = rough + smooth * x;
		double slope = 1 + ((2 / 2.302585092994046) * smooth) / inside;
		x -= (x + 2 * log10(inside)) / slope;
	}
	return 1 / (x * x);
}

static double friction_factor(double re, double relative_roughness) {
	if (re <= LAMINAR_RE) return 64 / re;
	if (re >= TURBULENT_RE) return colebrook(re, relative_roughness);
	double from = 64 / LAMINAR_RE;
	double to = colebrook(TURBULENT_RE, relative_roughness);
	return from * pow(to / from, log(re / LAMINAR_RE) / log(TURBULENT_RE / LAMINAR_RE));
}

static double laminar_pa_per_m3s(const struct pipe *pipe, struct liquid liquid) {
	return (128 * liquid.dynamic_pas * pipe->length_m) / (PI * pow(pipe->bore_m, 4));
}

static double pressure_drop_pa(const struct pipe *pipe, struct liquid liquid, double flow_m3s) {
	double speed = fabs((4 * flow_m3s) / (PI * pipe->bore_m * pipe->bore_m));
	double re = (liquid.density_kg_m3 * speed * pipe->bore_m) / liquid.dynamic_pas;
	double dynamic_pa = (liquid.density_kg_m3 * speed * speed) / 2;
	double local = pipe->loss_k * dynamic_pa;
	double sign = flow_m3s > 0 ? 1 : flow_m3s < 0 ? -1 : 0;
	if (re <= LAMINAR_RE) return laminar_pa_per_m3s(pipe, liquid) * flow_m3s + sign * local;
	double f = friction_factor(re, pipe->roughness_m / pipe->bore_m);
	double friction = ((f * pipe->length_m) / pipe->bore_m) * dynamic_pa;
	return sign * (friction + local);
}

struct conduit {
	struct pipe pipe;
	struct liquid liquid;
	double laminar_m3s, linear, square;
};

static double conduit_area_m2(const struct conduit *conduit) {
	return (PI / 4) * (conduit->pipe.bore_m * conduit->pipe.bore_m);
}

static double conduit_volume_m3(const struct conduit *conduit) {
	return conduit_area_m2(conduit) * conduit->pipe.length_m;
}

static void conduit_fill(struct conduit *conduit, struct liquid liquid) {
	double area = conduit_area_m2(conduit);
	conduit->liquid = liquid;
	conduit->laminar_m3s = (LAMINAR_RE * PI * conduit->pipe.bore_m * liquid.dynamic_pas) /
		(4 * liquid.density_kg_m3);
	conduit->linear = laminar_pa_per_m3s(&conduit->pipe, liquid);
	conduit->square = (conduit->pipe.loss_k * liquid.density_kg_m3) / (2 * (area * area));
}

static inline double conduit_drop_pa(const struct conduit *conduit, double flow_m3s) {
	double flow = fabs(flow_m3s);
	if (flow > conduit->laminar_m3s) {
		return pressure_drop_pa(&conduit->pipe, conduit->liquid, flow_m3s);
	}
	return (conduit->linear + conduit->square * flow) * flow_m3s;
}

static inline double conduit_slope(const struct conduit *conduit, double flow_m3s) {
	double flow = fabs(flow_m3s);
	if (flow > conduit->laminar_m3s) return (1.8 * conduit_drop_pa(conduit, flow)) / flow;
	return conduit->linear + 2 * conduit->square * flow;
}

struct circuit {
	struct conduit tube, hose, returns;
	double density_kg_m3, foot_pa, outlet_pa, head_pa, slope_pa_per_m3s, inlet_pa_min;
	double element_pa_per_m3s, column_m, column_m_per_m3, column_max_m, tube_share, hose_share;
	double gas_j, room_m3, out_m3s, in_m3s, bowl_pa, inlet_pa, return_pa, dt_s, per_s;
	double weight_pa_per_m, line_laminar_m3s, line_linear, line_square, rise_per_m3s;
};

static void circuit_fill(struct circuit *c, struct liquid liquid) {
	c->density_kg_m3 = liquid.density_kg_m3;
	conduit_fill(&c->tube, liquid);
	conduit_fill(&c->hose, liquid);
	conduit_fill(&c->returns, liquid);
	c->line_laminar_m3s = least(c->tube.laminar_m3s, c->hose.laminar_m3s);
}

struct line_drop {
	double pa, slope;
};

static inline struct line_drop line_meet(const struct circuit *c, double inflow) {
	struct line_drop line;
	double column = c->column_m + inflow * c->rise_per_m3s;
	double column_slope = c->weight_pa_per_m * c->rise_per_m3s;
	if (column <= 0) {
		column = 0;
		column_slope = 0;
	} else if (column >= c->column_max_m) {
		column = c->column_max_m;
		column_slope = 0;
	}
	double flow = fabs(inflow);
	if (flow > c->line_laminar_m3s) {
		line.pa = c->tube_share * conduit_drop_pa(&c->tube, inflow) +
			c->hose_share * conduit_drop_pa(&c->hose, inflow);
		line.slope = c->tube_share * conduit_slope(&c->tube, inflow) +
			c->hose_share * conduit_slope(&c->hose, inflow);
	} else {
		line.pa = (c->line_linear + c->line_square * flow) * inflow;
		line.slope = c->line_linear + 2 * c->line_square * flow;
	}
	line.pa += c->weight_pa_per_m * column;
	line.slope += column_slope;
	return line;
}

static bool stands_still(const struct circuit *c) {
	double bowl = most(c->inlet_pa_min, c->outlet_pa - c->head_pa);
	double gas = c->gas_j > GAS_J_NONE ? c->gas_j / bowl : 0;
	return c->foot_pa - line_meet(c, (c->room_m3 - gas) * c->per_s).pa - bowl <= 0;
}

static bool solve_laminar(struct circuit *c) {
	double linear = c->returns.linear;
	double square = c->returns.square;
	double still_pa = c->outlet_pa - c->head_pa;
	double room_per_s = c->room_m3 * c->per_s;
	double gas_per_s = c->gas_j > GAS_J_NONE ? c->gas_j * c->per_s : 0;
	double enough = 1e-12 * (c->head_pa > 0 ? c->head_pa / c->slope_pa_per_m3s : FREE_M3S);
	double flow = c->out_m3s;
	for (int step = 0; step < LAMINAR_STEPS_MAX; step += 1) {
		if (!(flow > 0 && flow <= c->returns.laminar_m3s)) return false;
		double return_pa = (linear + square * flow) * flow;
		double inlet = still_pa + return_pa + c->slope_pa_per_m3s * flow;
		double bowl_slope = c->element_pa_per_m3s;
		if (inlet < c->inlet_pa_min) inlet = c->inlet_pa_min;
		else bowl_slope += c->slope_pa_per_m3s + linear + 2 * square * flow;
		double bowl = inlet + c->element_pa_per_m3s * flow;
		double inflow = flow + room_per_s;
		double inflow_slope = 1;
		if (gas_per_s > 0) {
			double gas = gas_per_s / bowl;
			inflow -= gas;
			inflow_slope += (gas / bowl) * bowl_slope;
		}
		double column = c->column_m + inflow * c->rise_per_m3s;
		if (!(inflow >= 0 && inflow <= c->line_laminar_m3s && column > 0)) return false;
		bool full = column >= c->column_max_m;
		double line_pa = (c->line_linear + c->line_square * inflow) * inflow +
			c->weight_pa_per_m * (full ? c->column_max_m : column);
		double line_slope = c->line_linear + 2 * c->line_square * inflow +
			(full ? 0 : c->weight_pa_per_m * c->rise_per_m3s);
		double move = (c->foot_pa - line_pa - bowl) / (line_slope * inflow_slope + bowl_slope);
		if (fabs(move) <= enough) {
			c->out_m3s = flow;
			c->in_m3s = inflow;
			c->return_pa = return_pa;
			c->inlet_pa = inlet;
			c->bowl_pa = bowl;
			return true;
		}
		flow += move;
	}
	return false;
}

static bool solve_moving(struct circuit *c) {
	double still_pa = c->outlet_pa - c->head_pa;
	double room_per_s = c->room_m3 * c->per_s;
	double gas_per_s = c->gas_j > GAS_J_NONE ? c->gas_j * c->per_s : 0;
	double free = c->head_pa > 0 ? c->head_pa / c->slope_pa_per_m3s : FREE_M3S;
	double low = 0;
	double high = 4 * free;
	double flow = c->out_m3s > 0 && c->out_m3s < high ? c->out_m3s : 0.5 * free;
	double return_pa = 0, inlet = 0, bowl = 0, inflow = 0;
	for (int step = 0; step < STEPS_MAX; step += 1) {
		return_pa = conduit_drop_pa(&c->returns, flow);
		inlet = still_pa + return_pa + c->slope_pa_per_m3s * flow;
		double bowl_slope = c->element_pa_per_m3s;
		if (inlet < c->inlet_pa_min) inlet = c->inlet_pa_min;
		else bowl_slope += c->slope_pa_per_m3s + conduit_slope(&c->returns, flow);
		bowl = inlet + c->element_pa_per_m3s * flow;
		inflow = flow + room_per_s;
		double inflow_slope = 1;
		if (gas_per_s > 0) {
			double gas = gas_per_s / bowl;
			inflow -= gas;
			inflow_slope += (gas / bowl) * bowl_slope;
		}
		struct line_drop line = line_meet(c, inflow);
		double excess = c->foot_pa - line.pa - bowl;
		if (excess > 0) low = flow;
		else high = flow;
		double move = excess / (line.slope * inflow_slope + bowl_slope);
		if (fabs(move) <= 1e-12 * free) break;
		double newton = flow + move;
		if (newton > low && newton < high) flow = newton;
		else if (low == 0 && stands_still(c)) return false;
		else flow = (low + high) / 2;
	}
	c->out_m3s = flow;
	c->in_m3s = inflow;
	c->return_pa = return_pa;
	c->inlet_pa = inlet;
	c->bowl_pa = bowl;
	return true;
}

static void solve_standing(struct circuit *c) {
	if (c->gas_j <= GAS_J_NONE || c->room_m3 <= 0) {
		c->in_m3s = c->room_m3 * c->per_s;
		c->bowl_pa = c->foot_pa - line_meet(c, 0).pa;
		c->inlet_pa = c->bowl_pa;
		return;
	}
	double high = c->room_m3 * c->per_s;
	double low = -4 * high - 1e-3;
	double inflow = least(c->in_m3s, 0.5 * high);
	for (int step = 0; step < STEPS_MAX; step += 1) {
		double left = c->room_m3 - inflow * c->dt_s;
		double bowl = c->gas_j / left;
		struct line_drop line = line_meet(c, inflow);
		double excess = c->foot_pa - line.pa - bowl;
		if (excess > 0) low = inflow;
		else high = inflow;
		double move = excess / (line.slope + (bowl / left) * c->dt_s);
		if (fabs(move) <= 1e-12 * high) break;
		double newton = inflow + move;
		inflow = newton > low && newton < high ? newton : (low + high) / 2;
	}
	c->in_m3s = inflow;
	c->bowl_pa = c->gas_j / (c->room_m3 - inflow * c->dt_s);
	c->inlet_pa = c->bowl_pa;
}

static void circuit_solve(struct circuit *c, double dt_s, bool open) {
	c->dt_s = dt_s;
	c->per_s = 1 / dt_s;
	c->rise_per_m3s = dt_s * c->column_m_per_m3;
	c->weight_pa_per_m = c->density_kg_m3 * GRAVITY_MS2;
	c->line_linear = c->tube_share * c->tube.linear + c->hose_share * c->hose.linear;
	c->line_square = c->tube_share * c->tube.square + c->hose_share * c->hose.square;
	if (open && (solve_laminar(c) || solve_moving(c))) return;
	c->out_m3s = 0;
	c->return_pa = 0;
	solve_standing(c);
}
