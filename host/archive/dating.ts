// When a record was written, by the clocks that people showed to the rig, which has none. Readings
// of a boot are fitted by a line; a boot without one gets the bounds that its neighbours give it,
// never a made-up time. Pure; imports nothing.
//
// Fit: weighted least squares (Gauss-Markov; Aitken 1935), the drift known beforehand as one more
// observation of it (Gelman et al., Bayesian Data Analysis, chapter 14; both from memory).
// Half-widths are turned into standard uncertainties as in JCGM 100:2008, 4.3.7.

/** Somebody's clock beside the rig's: at `monoMs` of that boot it was `utcMs`. */
export interface Sighting {
	readonly boot: number;
	readonly monoMs: number;
	readonly utcMs: number;
	/** How far that clock may be off, ms: a half-width. */
	readonly uncertaintyMs: number;
}

/** How far a boot's records go. */
export interface BootSpan {
	readonly boot: number;
	readonly lastMs: number;
}

export interface Dated {
	readonly utcMs: number;
	/** Expanded, k = 2: it is off by more in about one case of twenty, ms. */
	readonly uncertaintyMs: number;
}

/** Unix times, ms; null where nothing bounds it. */
export interface Bounds {
	readonly after: number | null;
	readonly before: number | null;
}

export type When = Dated | Bounds;

export const isDated = (when: When): when is Dated => "utcMs" in when;

/** Clocks that cannot all have been right. */
export interface ClockQuarrel {
	readonly boot: number;
	readonly words: string;
}

export interface Dating {
	readonly at: (boot: number, monoMs: number) => When;
	readonly quarrels: readonly ClockQuarrel[];
}

/** The rig's crystal may be off by so much, ms in a ms: 100 ppm (common practice, no source). */
const DRIFT_MAX = 1e-4;
const VAR_DRIFT = DRIFT_MAX ** 2 / 3;
/** No reading is surer than the tick that takes it in, ms. */
const TICK_MS = 100;
const COVERAGE = 2;

/** UTC less the rig's own time is `offsetMs + drift * (monoMs - centreMs)`. */
interface Fit {
	readonly centreMs: number;
	readonly offsetMs: number;
	readonly drift: number;
	readonly varOffset: number;
	readonly varDrift: number;
	/** Added where nobody can tell which clock was wrong, ms. */
	readonly doubtMs: number;
	readonly rejected: readonly Sighting[];
}

const halfWidthMs = ({ uncertaintyMs }: Sighting): number => Math.max(TICK_MS, uncertaintyMs);
const offsetOf = ({ utcMs, monoMs }: Sighting): number => utcMs - monoMs;

/** @param boots of one store; those without a record are left out */
export function dateBoots(sightings: readonly Sighting[], boots: readonly BootSpan[]): Dating {
	const spans = [...boots].sort((a, b) => a.boot - b.boot);
	const fits = new Map<number, Fit>();
	for (const { boot } of spans) {
		const own = sightings.filter((sighting) => sighting.boot === boot);
		if (own.length > 0) fits.set(boot, fitBoot(own));
	}
	const at = (boot: number, monoMs: number): When => {
		const fit = fits.get(boot);
		return fit === undefined ? boundsOf(spans, fits, boot, monoMs) : dateBy(fit, monoMs);
	};
	return { at, quarrels: [...quarrelsWithin(fits), ...quarrelsBetween(spans, fits)] };
}

function dateBy(fit: Fit, monoMs: number): Dated {
	const sinceMs = monoMs - fit.centreMs;
	const variance = fit.varOffset + sinceMs * sinceMs * fit.varDrift;
	return {
		utcMs: Math.round(monoMs + fit.offsetMs + fit.drift * sinceMs),
		uncertaintyMs: Math.ceil(COVERAGE * Math.sqrt(variance) + fit.doubtMs),
	};
}

function fitBoot(sightings: readonly Sighting[]): Fit {
	const { kept, rejected } = agreeing(sightings);
	const fit = fitLine(kept, rejected);
	// One clock against one: either may be the wrong one, so the interval holds both.
	const isSettled = kept.length > rejected.length;
	const off = rejected.map((sighting) => {
		const { utcMs } = dateBy(fit, sighting.monoMs);
		return Math.abs(utcMs - sighting.utcMs) + halfWidthMs(sighting);
	});
	return { ...fit, doubtMs: isSettled ? 0 : Math.max(...off) };
}

/** With the centre at the weighted mean, offset and drift are independent of each other. */
function fitLine(kept: readonly Sighting[], rejected: readonly Sighting[]): Fit {
	const weights = kept.map((sighting) => 3 / halfWidthMs(sighting) ** 2);
	const weight = sum(weights);
	const mean = (values: readonly number[]) =>
		sum(values.map((value, i) => value * (weights[i] ?? 0))) / weight;
	const centreMs = mean(kept.map(({ monoMs }) => monoMs));
	// Offsets are some 1e12 ms: taken from the first, they keep their digits.
	const first = kept[0] === undefined ? 0 : offsetOf(kept[0]);
	const offs = kept.map((sighting) => offsetOf(sighting) - first);
	const meanOff = mean(offs);
	let along = 0;
	let across = 1 / VAR_DRIFT;
	kept.forEach(({ monoMs }, i) => {
		const w = weights[i] ?? 0;
		along += w * (monoMs - centreMs) * ((offs[i] ?? 0) - meanOff);
		across += w * (monoMs - centreMs) ** 2;
	});
	// Readings of one laptop share its error: together they are no surer than the best of them.
	const best = Math.max(...weights);
	return {
		centreMs,
		offsetMs: first + meanOff,
		drift: along / across,
		varOffset: 1 / best,
		varDrift: 1 / across,
		doubtMs: 0,
		rejected,
	};
}

/** Whether no clock within its bounds, on a crystal within its own, shows both. */
function areContrary(a: Sighting, b: Sighting): boolean {
	const apartMs = Math.abs(offsetOf(a) - offsetOf(b));
	const driftMs = DRIFT_MAX * Math.abs(a.monoMs - b.monoMs);
	return apartMs > halfWidthMs(a) + halfWidthMs(b) + driftMs;
}

/** Leaves out the reading that most others contradict, then the next, until all agree. */
function agreeing(sightings: readonly Sighting[]): { kept: Sighting[]; rejected: Sighting[] } {
	let kept = [...sightings];
	const rejected: Sighting[] = [];
	for (;;) {
		const contrary = kept.map((a) => kept.filter((b) => areContrary(a, b)).length);
		if (Math.max(...contrary) === 0) return { kept, rejected };
		let worst = 0;
		kept.forEach((sighting, i) => {
			if (isWorse(contrary, kept, i, worst, sighting)) worst = i;
		});
		rejected.push(...kept.slice(worst, worst + 1));
		kept = kept.filter((_, i) => i !== worst);
	}
}

/** More contradicted; else less sure; else earlier: who sets a clock again has seen why. */
function isWorse(
	contrary: readonly number[],
	kept: readonly Sighting[],
	i: number,
	worst: number,
	sighting: Sighting,
): boolean {
	const than = kept[worst];
	if (than === undefined) return false;
	const more = (contrary[i] ?? 0) - (contrary[worst] ?? 0);
	if (more !== 0) return more > 0;
	const wider = halfWidthMs(sighting) - halfWidthMs(than);
	return wider === 0 ? sighting.monoMs < than.monoMs : wider > 0;
}

/** The time that records alone prove to have passed, ms: the crystal may have run fast. */
const atLeast = (ms: number): number => ms * (1 - DRIFT_MAX);

/** After the last dated boot before it and all that was recorded since; before the next one. */
function boundsOf(
	spans: readonly BootSpan[],
	fits: ReadonlyMap<number, Fit>,
	boot: number,
	monoMs: number,
): Bounds {
	const own = spans.find((span) => span.boot === boot);
	let after: number | null = null;
	let passedMs = 0;
	for (const span of spans.filter((other) => other.boot < boot)) {
		const fit = fits.get(span.boot);
		if (fit === undefined) passedMs += atLeast(span.lastMs);
		else {
			const end = dateBy(fit, span.lastMs);
			after = end.utcMs - end.uncertaintyMs;
			passedMs = 0;
		}
	}
	let leftMs = atLeast(Math.max(0, (own?.lastMs ?? monoMs) - monoMs));
	for (const span of spans.filter((other) => other.boot > boot)) {
		const fit = fits.get(span.boot);
		if (fit !== undefined) {
			const begin = dateBy(fit, 0);
			const before = Math.ceil(begin.utcMs + begin.uncertaintyMs - leftMs);
			return { after: withPassed(after, passedMs + atLeast(monoMs)), before };
		}
		leftMs += atLeast(span.lastMs);
	}
	return { after: withPassed(after, passedMs + atLeast(monoMs)), before: null };
}

const withPassed = (after: number | null, ms: number): number | null =>
	after === null ? null : Math.floor(after + ms);

function quarrelsWithin(fits: ReadonlyMap<number, Fit>): ClockQuarrel[] {
	return [...fits].flatMap(([boot, { rejected, doubtMs }]) => {
		if (rejected.length === 0) return [];
		const clocks = rejected.map(({ utcMs }) => new Date(utcMs).toISOString()).join(", ");
		const outcome =
			doubtMs === 0
				? "left out, as more of the others agree"
				: "it cannot be told which is wrong, so the times of this boot hold both";
		return [{ boot, words: `a clock contradicts another one (${clocks}): ${outcome}` }];
	});
}

/** A boot ends before the next begins, whatever anybody's clock said. */
function quarrelsBetween(
	spans: readonly BootSpan[],
	fits: ReadonlyMap<number, Fit>,
): ClockQuarrel[] {
	const quarrels: ClockQuarrel[] = [];
	let earlier: { boot: number; end: Dated } | null = null;
	for (const { boot, lastMs } of spans) {
		const fit = fits.get(boot);
		if (fit === undefined) continue;
		const begin = dateBy(fit, 0);
		if (earlier !== null) {
			const overlapMs = earlier.end.utcMs - begin.utcMs;
			if (overlapMs > earlier.end.uncertaintyMs + begin.uncertaintyMs) {
				const seconds = Math.round(overlapMs / 1000);
				const words = `begins ${seconds} s before boot ${earlier.boot} ended: one clock was wrong`;
				quarrels.push({ boot, words });
			}
		}
		earlier = { boot, end: dateBy(fit, lastMs) };
	}
	return quarrels;
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
