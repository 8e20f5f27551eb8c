// Reference rows of group 1, friction and local losses, by sim/physics/pipe.ts and fittings.ts.
// Between Re 2040 and 4000 no friction and no pressure drop is compared: the regime rule makes it.

import {
	bendItoK,
	bendK,
	bendSwameeK,
	ENTRANCE_PROJECTING_K,
	ENTRANCE_SHARP_K,
	ENTRANCE_SHARP_RENNELS_K,
	EXIT_K,
	entranceProjectingK,
} from "../../../sim/physics/fittings.ts";
import {
	colebrook,
	dynamicPressurePa,
	flowAtDropM3s,
	frictionFactor,
	LAMINAR_RE,
	type Liquid,
	type Pipe,
	pressureDropPa,
	regime,
	reynolds,
	speedMps,
} from "../../../sim/physics/pipe.ts";
import { type Adapter, type Answer, type Inputs, LeftOut } from "../adapter.ts";
import { each, needs, one, quantity } from "../quantity.ts";

const PER_HOUR = 0.001 / 3600;
const transition = new LeftOut("transition: depends on the regime rule, no firm value");

const re = quantity({ Re: 1 });
const relative = quantity({ relative_roughness: 1, eD: 1 }, 0);
const bore = quantity({ D_m: 1, d_m: 1, Di_m: 1, bore_m: 1, D_mm: 0.001, bore_mm: 0.001 });
const length = quantity({ L_m: 1, length_m: 1 });
const roughness = quantity({ roughness_m: 1, roughness_mm: 0.001, roughness_um: 1e-6 }, 0);
const loss = quantity({ K: 1, K_total: 1 }, 0);
const density = quantity({ rho_kg_m3: 1 });
// Volume or mass flow and dynamic or kinematic viscosity: one of each, the other stands at 0.
const volumeFlow = quantity(
	{ Q_m3_s: 1, flow_L_h: PER_HOUR, Q_L_h: PER_HOUR, Q_L_min: 0.001 / 60 },
	0,
);
const massFlow = quantity({ m_kg_s: 1 }, 0);
const dynamic = quantity({ mu_Pa_s: 1, mu_mPa_s: 0.001 }, 0);
const kinematic = quantity({ nu_m2_s: 1, nu_mm2_s: 1e-6 }, 0);
const gravity = quantity({ g_m_s2: 1 }, 9.80665);

const FLOW = "Q_m3_s|flow_L_h|Q_L_h|Q_L_min|m_kg_s";
const VISCOSITY = "mu_Pa_s|mu_mPa_s|nu_m2_s|nu_mm2_s";

interface Run {
	readonly pipe: Pipe;
	readonly liquid: Liquid;
	readonly flow: number;
	readonly re: number;
}

/** What a row says of a pipe with a flow, single numbers or entries of lists. */
function run(find: (run: Run) => unknown): Answer {
	const all = [bore, length, roughness, loss, density, volumeFlow, massFlow, dynamic, kinematic];
	return each(all, (b = 0, l = 0, k = 0, lossK = 0, rho = 0, q = 0, m = 0, mu = 0, nu = 0) => {
		const liquid = { densityKgM3: rho, dynamicPas: mu > 0 ? mu : nu * rho };
		const flow = q > 0 ? q : m / rho;
		const pipe = { boreM: b, lengthM: l, roughnessM: k, lossK };
		const number = reynolds(speedMps(b, flow), b, liquid.dynamicPas / rho);
		return find({ pipe, liquid, flow, re: number });
	});
}

const firm = (number: number, find: () => number): unknown =>
	regime(number) === "transition" ? transition : find();

const factor = run(({ pipe, re }) =>
	firm(re, () => frictionFactor(re, pipe.roughnessM / pipe.boreM)),
);
const drop = run(({ pipe, liquid, flow, re }) =>
	firm(re, () => pressureDropPa(pipe, liquid, flow)),
);

/** Laminar flow up a slope between two pressures (Bernoulli between two ends of one bore). */
function slope(find: (run: Run, headM: number) => unknown): Answer {
	const p1 = quantity({ p1_Pa: 1 });
	const p2 = quantity({ p2_Pa: 1 });
	const rise = quantity({ slope_deg: Math.PI / 180 }, 0);
	const all = [bore, length, roughness, density, dynamic, kinematic, p1, p2, rise, gravity];
	return each(
		all,
		(b = 0, l = 0, k = 0, rho = 0, mu = 0, nu = 0, from = 0, to = 0, angle = 0, g = 0) => {
			const pipe = { boreM: b, lengthM: l, roughnessM: k, lossK: 0 };
			const liquid = { densityKgM3: rho, dynamicPas: mu > 0 ? mu : nu * rho };
			const dropPa = from - to - rho * g * l * Math.sin(angle);
			const flow = flowAtDropM3s(pipe, liquid, dropPa);
			const number = reynolds(speedMps(b, flow), b, liquid.dynamicPas / rho);
			return find({ pipe, liquid, flow, re: number }, dropPa / (rho * g));
		},
	);
}

/** Dip tube, hose, fittings and lift in a row, as a suction line is put together. */
function suction(inputs: Inputs): Record<string, number> | undefined {
	const value = (units: Record<string, number>, otherwise?: number) =>
		one(inputs, quantity(units, otherwise)) ?? Number.NaN;
	const liquid = { densityKgM3: value({ rho_kg_m3: 1 }), dynamicPas: value({ mu_Pa_s: 1 }) };
	const flow = one(inputs, volumeFlow) ?? Number.NaN;
	const part = (name: string, lossK: number): Pipe => ({
		boreM: value({ [`${name}_bore_mm`]: 0.001, [`${name}_bore_m`]: 1 }),
		lengthM: value({ [`${name}_L_m`]: 1 }),
		roughnessM: value({ roughness_m: 1 }, 0),
		lossK,
	});
	const tube = part("dip_tube", value({ K_inlet: 1 }, ENTRANCE_PROJECTING_K));
	const hose = part("hose", value({ K_bends_total_on_hose: 1 }, 0));
	const friction = (pipe: Pipe) => pressureDropPa({ ...pipe, lossK: 0 }, liquid, flow);
	const total = pressureDropPa(tube, liquid, flow) + pressureDropPa(hose, liquid, flow);
	const lift = liquid.densityKgM3 * value({ g_m_s2: 1 }, 9.80665) * value({ lift_m: 1 }, 0);
	const head = dynamicPressurePa(liquid, speedMps(hose.boreM, flow));
	return {
		dP_tube_Pa: friction(tube),
		dP_hose_Pa: friction(hose),
		dP_fittings_Pa: total - friction(tube) - friction(hose),
		lift_Pa: lift,
		velocity_head_hose_Pa: head,
		vacuum_friction_plus_lift_Pa: total + lift,
		vacuum_static_gauge_incl_velocity_head_Pa: total + lift + head,
	};
}

const suctionFields = [
	"dP_tube_Pa",
	"dP_hose_Pa",
	"dP_fittings_Pa",
	"lift_Pa",
	"velocity_head_hose_Pa",
	"vacuum_friction_plus_lift_Pa",
	"vacuum_static_gauge_incl_velocity_head_Pa",
] as const;

const wall = quantity({ wall_t_m: 1, wall_t_mm: 0.001 });
const projection = quantity({ projection_m: 1, projection_mm: 0.001 }, Number.POSITIVE_INFINITY);
const angle = quantity({ angle_deg: 1 }, 90);
const radius = quantity({ bend_diameters: 1 });

const bySize = each([wall, bore, projection], (t = 0, b = 0, l = 0) =>
	l >= b / 2 ? entranceProjectingK(t, b) : undefined,
);

export const pipeAdapters: readonly Adapter[] = [
	{
		group: 1,
		needs: needs(re),
		topic: /colebrook/i,
		answers: { darcy_f: each([re, relative], (number = 0, k = 0) => colebrook(number, k)) },
	},
	{
		// The switch itself: 64/Re up to our bound, Colebrook at once above it. Between 2040 and 4000
		// the model takes its own bridge, which no row can hold.
		group: 1,
		needs: needs(re),
		topic: /switch/i,
		answers: {
			darcy_f: each([re, relative], (number = 0, k = 0) =>
				number <= LAMINAR_RE ? frictionFactor(number, k) : colebrook(number, k),
			),
		},
	},
	{
		group: 1,
		needs: needs(re),
		answers: {
			darcy_f: each([re, relative], (number = 0, k = 0) =>
				firm(number, () => frictionFactor(number, k)),
			),
			darcy_f_colebrook_smooth: each([re], (number = 0) => colebrook(number, 0)),
			darcy_f_colebrook: each([re, relative], (number = 0, k = 0) => colebrook(number, k)),
			regime: each([re], (number = 0) => regime(number)),
		},
	},
	{
		group: 1,
		needs: [...needs(bore, length, density), FLOW, VISCOSITY],
		answers: {
			V_m_s: run(({ pipe, flow }) => speedMps(pipe.boreM, flow)),
			Re: run(({ re }) => re),
			regime: run(({ re }) => regime(re)),
			darcy_f: factor,
			dP_Pa: drop,
			dP_pipe_only_Pa: drop,
		},
	},
	{
		group: 1,
		needs: [...needs(bore, length, density), VISCOSITY, "p1_Pa", "p2_Pa"],
		answers: {
			hf_m: slope((_, head) => head),
			Q_m3_s: slope(({ flow }) => flow),
			V_m_s: slope(({ pipe, flow }) => speedMps(pipe.boreM, flow)),
			Re: slope(({ re }) => re),
		},
	},
	{
		group: 1,
		needs: [
			"rho_kg_m3",
			"mu_Pa_s",
			"dip_tube_bore_mm|dip_tube_bore_m",
			"dip_tube_L_m",
			"hose_bore_mm|hose_bore_m",
			"hose_L_m",
			FLOW,
		],
		answers: Object.fromEntries(
			suctionFields.map((field): [string, Answer] => [field, (inputs) => suction(inputs)?.[field]]),
		),
	},
	{
		group: 1,
		needs: [],
		topic: /entrance|exit/,
		answers: {
			K_entrance_sharp: () => ({
				Rennels: ENTRANCE_SHARP_RENNELS_K,
				Crane: ENTRANCE_SHARP_K,
				Idelchik: ENTRANCE_SHARP_K,
				Blevins: ENTRANCE_SHARP_K,
				Swamee: ENTRANCE_SHARP_K,
			}),
			K_exit: () => EXIT_K,
		},
	},
	{
		group: 1,
		needs: needs(wall, bore),
		topic: /projecting|re-entrant/,
		answers: {
			Rennels: bySize,
			Crane: () => ENTRANCE_PROJECTING_K,
		},
	},
	{
		group: 1,
		needs: needs(radius, re),
		topic: /bend/,
		answers: {
			Rennels: (inputs) => {
				const known = inputs.Di_m !== undefined || inputs.D_m !== undefined;
				const by = known ? bore : quantity({}, 1);
				return each([angle, radius, re, roughness, by], (a = 0, r = 0, number = 0, k = 0, b = 1) =>
					bendK(a, r, number, k / b),
				)(inputs);
			},
			Swamee: each([angle, radius], (a = 0, r = 0) => bendSwameeK(a, r)),
			Ito: each([angle, radius, re], (a = 0, r = 0, number = 0) => bendItoK(a, r, number)),
		},
	},
];
