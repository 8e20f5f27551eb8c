// The rule that finds a field's tolerance, on keys as the rows write them. Left: field and
// tolerance; right: what holds.

import { expect, it } from "vitest";
import { toleranceOf } from "./tolerance.ts";

const printed = { printed: { rel: 0.01 }, colebrook: { rel: 1e-6 } };
const fit = {
	least_squares: { rel: 1e-5 },
	alpha_vs_printed: { rel: 0.05 },
	Rm_vs_printed: { rel: 0.08 },
};
const regime = { laminar: { rel: 1e-6 }, turbulent: { rel: 1e-5 }, transition: { rel: 0.6 } };

it.each([
	["a plain key holds for every field", "V_L", { rel: 1e-8 }, { rel: 1e-8 }],
	[
		"rel and abs together: both, the larger counts",
		"P",
		{ rel: 0.1, abs: 2 },
		{ rel: 0.1, abs: 2 },
	],
	[
		"a named key goes before a plain one",
		"published_ARL",
		{ rel: 0.001, published: { rel: 0.005 } },
		{ rel: 0.005 },
	],
	[
		"and leaves the others to the plain one",
		"ARL",
		{ rel: 0.001, published: { rel: 0.005 } },
		{ rel: 0.001 },
	],
	["a key may be any word of the field", "darcy_f_printed", printed, { rel: 0.01 }],
	["or another", "darcy_f_colebrook_smooth", printed, { rel: 1e-6 }],
	[
		"rel_to_printed holds for what is printed",
		"printed.hf_m",
		{ rel_to_printed: 0.01 },
		{ rel: 0.01 },
	],
	["and not for the rest", "hf_m", { rel_to_printed: 0.01 }, { rel: 1e-6 }],
	["a key of two words asks for both", "printed.alpha_m_kg", fit, { rel: 0.05 }],
	["the key of the other value holds there", "printed.Rm_1_m", fit, { rel: 0.08 }],
	["a printed value without a key takes the loosest", "printed.B_s_m3", fit, { rel: 0.08 }],
	["the kind may stand first, with a unit", "OCV_V", { abs_V: 0.1 }, { abs: 0.1 }],
	["or last, with a part of the name", "inside_engine_space_A", { inside_abs: 0.5 }, { abs: 0.5 }],
	["or between", "table_T_C", { rel: 1e-6, table_abs_C: 0.02 }, { abs: 0.02 }],
	[
		"vs is no word of a field",
		"nu_back",
		{ Z: { rel: 1e-9 }, nu_back_vs_nu: { abs: 0.003 } },
		{ abs: 0.003 },
	],
	[
		"formula is for what has no key of its own",
		"area_mm2",
		{ formula: { rel: 1e-6 }, handbook: { rel: 0.003 } },
		{ rel: 1e-6 },
	],
	["exact", "class", { exact: true }, { exact: true }],
])("%s: %s", (_, field, tolerance, held) => {
	const whole = { rel: 0, abs: 0, exact: false, ...held };
	expect(toleranceOf(tolerance, field.split("."))).toEqual(whole);
});

it("a regime's own word holds for its entry of a list", () => {
	expect(toleranceOf(regime, ["dP_Pa"], "turbulent").rel).toBe(1e-5);
	expect(toleranceOf(regime, ["dP_Pa"], "laminar").rel).toBe(1e-6);
});
