// Reference rows of group 6, what is left after turnovers, by sim/physics/dilution.ts. Litres and
// hours go in as the rows have them where the formula has no unit of its own.

import {
	concentrationWithIngress,
	deadZoneRemaining,
	mixedRemaining,
	plugFlowRemaining,
	removedMass,
	steadyConcentration,
	turnoversRequired,
	type Zones,
} from "../../../sim/physics/dilution.ts";
import type { Adapter, Answer } from "../adapter.ts";
import { each, list, needs, quantity } from "../quantity.ts";

const efficiency = quantity({ efficiency: 1, eta: 1 }, 1);
const turnovers = quantity({ turnovers_Qt_over_V: 1, turnovers: 1, n: 1 });
const remaining = quantity({ remaining: 1, C_over_C0: 1 });
const active = quantity({ V_active_L: 0.001, V_active_m3: 1 });
const dead = quantity({ V_dead_L: 0.001, V_dead_m3: 1 });
const exchange = quantity({ exchange_L_h: 0.001 / 3600, exchange_m3_s: 1 });
const flow = quantity({ Q_L_h: 0.001 / 3600, Q_m3_s: 1 });
const totalTurnovers = quantity({ turnovers_of_total_volume: 1 });
const volumeL = quantity({ V_L: 1 });
const flowLh = quantity({ Q_L_h: 1 });
const startMgL = quantity({ C0_mg_L: 1 });
const timeH = quantity({ t_h: 1 });
const ingress = quantity({ ingress_mg_h: 1, ingress_mg_L_x_L_h: 1 }, 0);

/** One of the zones after turnovers of the whole volume, or after hours. */
function zone(pick: (zones: Zones) => number): Answer {
	return (inputs) => {
		const byTime = inputs.t_h !== undefined;
		const when = byTime ? timeH : totalTurnovers;
		const all = [active, dead, exchange, flow, efficiency, when];
		return each(all, (a = 0, d = 0, x = 0, q = 0, eta = 0, w = 0) => {
			const tank = { activeM3: a, deadM3: d, exchangeM3s: x, flowM3s: q, efficiency: eta };
			return pick(deadZoneRemaining(tank, byTime ? w * 3600 : (w * (a + d)) / q));
		})(inputs);
	};
}

const required = each([remaining, efficiency], (left = 0, eta = 0) => turnoversRequired(left, eta));

export const dilutionAdapters: readonly Adapter[] = [
	{
		group: 6,
		needs: needs(turnovers),
		answers: {
			mixed_C_over_C0: each([efficiency, turnovers], (eta = 0, n = 0) => mixedRemaining(eta, n)),
			plug_flow_C_over_C0: each([efficiency, turnovers], (eta = 0, n = 0) =>
				plugFlowRemaining(eta, n),
			),
		},
	},
	{
		group: 6,
		needs: needs(remaining),
		answers: { turnovers: required, turnovers_required: required },
		patterns: [
			{
				// One list for each efficiency, which the field's name tells.
				field: /^turnovers_eta_([\d.]+)$/,
				answer: (inputs, [, eta]) =>
					list(inputs, remaining)?.map((left) => turnoversRequired(left, Number(eta))),
			},
		],
	},
	{
		group: 6,
		needs: [...needs(active, dead, exchange, flow), "turnovers_of_total_volume|t_h"],
		answers: {
			active: zone((zones) => zones.active),
			dead: zone((zones) => zones.dead),
			volume_average: zone((zones) => zones.average),
		},
	},
	{
		group: 6,
		needs: needs(volumeL, flowLh, startMgL, timeH),
		answers: {
			removed_g: each(
				[volumeL, flowLh, efficiency, startMgL, timeH],
				(v = 0, q = 0, eta = 0, c = 0, t = 0) => removedMass(v, c, eta, (q * t) / v) / 1000,
			),
			C_mg_L: each(
				[startMgL, volumeL, flowLh, efficiency, ingress, timeH],
				(c = 0, v = 0, q = 0, eta = 0, r = 0, t = 0) =>
					concentrationWithIngress(c, v, q, eta, r, t),
			),
			C_steady_mg_L: each([flowLh, efficiency, ingress], (q = 0, eta = 0, r = 0) =>
				steadyConcentration(q, eta, r),
			),
		},
	},
];
