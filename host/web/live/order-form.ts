// What somebody has filled in, as work that the controller may take, or what is wrong with it field
// by field. The limits are those of firmware/cycle/order-schemas.ts, which has the last word; a
// test holds the two together. Pure.

import type { Work } from "../../../firmware/cycle/order-schemas.ts";
import { numberIn } from "../kit/number-in.ts";
import { fromUnit, inUnit, type Kind, numeral, type Taste } from "../units.ts";
import { words } from "../words/words.ts";

/** Texts as they were typed, in the reader's units. */
export interface OrderForm {
	readonly work: "polish" | "transfer" | "sweep";
	readonly tank: string;
	readonly to: string;
	readonly goal: "turnovers" | "litres" | "hours" | "targetDilution";
	readonly transferGoal: "litres" | "fillToPct" | "ullage";
	readonly turnovers: string;
	readonly amount: string;
	readonly hours: string;
	readonly dilution: string;
	readonly level: string;
	readonly dip: string;
	readonly toDip: string;
	readonly bursts: string;
	readonly stand: string;
	readonly attended: "" | "stays" | "leaves";
	readonly seen: boolean;
}

export const emptyForm = (tank: string, to: string): OrderForm => ({
	work: "polish",
	tank,
	to,
	goal: "turnovers",
	transferGoal: "litres",
	turnovers: "3",
	amount: "",
	hours: "",
	dilution: "",
	level: "",
	dip: "",
	toDip: "",
	bursts: "",
	stand: "20",
	attended: "",
	seen: false,
});

export type Errors = Partial<Record<keyof OrderForm, string>>;

export type Filled = { readonly work: Work } | { readonly errors: Errors };

export function workFrom(form: OrderForm, taste: Taste): Filled {
	const fields = new Fields(form, taste);
	const attended = form.attended === "stays";
	if (form.attended === "") fields.errors.attended = words().kit.choose;
	else if (!attended && !form.seen) fields.errors.seen = words().live.order.seenNeeded;
	const work = workOf(form, fields, attended);
	return Object.keys(fields.errors).length > 0 ? { errors: fields.errors } : { work };
}

function workOf(form: OrderForm, fields: Fields, attended: boolean): Work {
	const { tank, to, goal, transferGoal } = form;
	if (form.work === "sweep") {
		const dryBursts = fields.whole("bursts", 2, 50);
		const standSeconds = fields.needed("stand", 20, 86_400);
		return { sweep: { tank, standSeconds, attended, ...given({ dryBursts }) } };
	}
	if (form.work === "transfer") {
		if (tank === to) fields.errors.to = words().live.order.sameTank;
		const litres = transferGoal === "litres" ? fields.litres("amount") : undefined;
		const fillToPct = transferGoal === "fillToPct" ? fields.needed("level", 5, 96) : undefined;
		const fromDipLitres = fields.optionalLitres("dip", LITRES_MIN);
		const toDipLitres = fields.optionalLitres("toDip", 0);
		const goals = given({ litres, fillToPct, fromDipLitres, toDipLitres });
		return { transfer: { from: tank, to, attended, ...goals } };
	}
	const dipLitres = fields.optionalLitres("dip", LITRES_MIN);
	const one = {
		turnovers: () => ({ turnovers: fields.needed("turnovers", 0.01, 50) }),
		litres: () => ({ litres: fields.litres("amount") }),
		hours: () => ({ hours: fields.needed("hours", 0.01, 200) }),
		targetDilution: () => ({ targetDilution: fields.needed("dilution", 0.1, 90) / 100 }),
	}[goal]();
	return { polish: { tank, attended, ...one, ...given({ dipLitres }) } };
}

const LITRES_MIN = 0.01;
const LITRES_MAX = 100_000;

/** Without what was left out. */
function given<T extends object>(values: T): { [K in keyof T]: Exclude<T[K], undefined> } {
	const said = Object.entries(values).filter(([, value]) => value !== undefined);
	return Object.fromEntries(said) as { [K in keyof T]: Exclude<T[K], undefined> };
}

/** Reads the fields and gathers what is wrong with them. */
class Fields {
	readonly errors: { -readonly [K in keyof Errors]: Errors[K] } = {};
	private readonly form: OrderForm;
	private readonly taste: Taste;

	constructor(form: OrderForm, taste: Taste) {
		this.form = form;
		this.taste = taste;
	}

	/** @returns the least allowed where it is wrong: nothing is made of it then */
	needed(key: keyof OrderForm, least: number, most: number, kind?: Kind): number {
		const shown = numberIn(String(this.form[key]));
		const { notANumber, tooSmall, tooLarge } = words().kit;
		const inTaste = (stored: number) =>
			kind === undefined ? stored : inUnit(kind, stored, this.taste);
		const limit = (stored: number) => numeral(inTaste(stored), stored < 1 ? 2 : 0);
		if (shown === null) {
			this.errors[key] = notANumber;
			return least;
		}
		const stored = kind === undefined ? shown : fromUnit(kind, shown, this.taste);
		if (stored < least) this.errors[key] = tooSmall(limit(least));
		else if (stored > most) this.errors[key] = tooLarge(limit(most));
		else return stored;
		return least;
	}

	litres(key: keyof OrderForm, least = LITRES_MIN): number {
		return this.needed(key, least, LITRES_MAX, "volume");
	}

	optionalLitres(key: keyof OrderForm, least: number): number | undefined {
		return String(this.form[key]).trim() === "" ? undefined : this.litres(key, least);
	}

	whole(key: keyof OrderForm, least: number, most: number): number | undefined {
		if (String(this.form[key]).trim() === "") return undefined;
		const value = this.needed(key, least, most);
		if (!Number.isInteger(value)) this.errors[key] = words().kit.notWhole;
		return value;
	}
}
