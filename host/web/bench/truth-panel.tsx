// What is so in the simulated rig, beside what its controller makes of its sensors. Imports the
// kit; the figures come with each frame of the bench.

import type { Status } from "../../../firmware/link/protocol.ts";
import { useChoices } from "../kit/choices.ts";
import { Table } from "../kit/table.tsx";
import { quantityText } from "../live/quantity.ts";
import { type Kind, measure, numeral, span } from "../units.ts";
import { words } from "../words/words.ts";
import type { Frame } from "./world.ts";

type Row = readonly [what: string, sensed: string, truth: string];

export function TruthPanel({ frame }: { readonly frame: Frame }) {
	const said = words().bench.truth;
	const taste = useChoices();
	const { scene, truth, world } = frame;
	const { status } = scene;
	const sensed = scene.senses?.sensed ?? null;
	const text = (kind: Kind, digits?: number) => (value: number) =>
		measure(kind, value, taste, digits);
	const row = (
		what: string,
		kind: Kind,
		value: number | string | undefined,
		true_: number,
		digits?: number,
	): Row => [
		what,
		quantityText(value ?? "", said.nothing, text(kind, digits)),
		text(kind, digits)(true_),
	];
	const share = (name: string) => {
		const tank = world.tanks.find((one) => one.name === name);
		if (tank === undefined || tank.volumeLitres === 0) return 0;
		return (truth.fuelLitres[name] ?? 0) / tank.volumeLitres;
	};
	const { withUnit, units } = words().kit;
	const yes = (isSo: boolean) => (isSo ? said.yes : said.no);
	const probe = { wet: said.yes, dry: said.no }[sensed?.probe ?? ""];
	const rows: Row[] = [
		[
			said.pump,
			status?.pumpDemanded === true ? said.asked : said.notAsked,
			world.isPumpOn ? said.on : said.off,
		],
		row(said.flow, "flow", sensed?.flowLph, truth.flowLph),
		row(said.vacuum, "vacuum", sensed?.vacuumKpa, truth.vacuumKpa),
		[
			said.probe,
			probe ?? quantityText(sensed?.probe ?? "", said.nothing),
			yes(world.isWaterAtProbe),
		],
		row(said.bowl, "small", undefined, truth.bowlWaterMl),
		row(said.levelFrom, "share", sensed?.levelFrom, share(world.tubeTank)),
		row(said.levelTo, "share", sensed?.levelTo, share(world.returnTank)),
		row(said.litres, "volume", litresOf(status), truth.litresThroughPump, 2),
		row(said.supply, "volts", sensed?.supplyVolts, world.supplyVolts, 2),
		row(said.current, "amps", sensed?.motorAmps, world.motorAmps),
		row(said.fuelHeat, "temperature", sensed?.fuelC, world.fuelC),
		row(said.motorCase, "temperature", sensed?.caseC, world.motorCaseC),
		[said.element, said.nothing, withUnit(numeral(world.elementGrams, 1), units.grams)],
		row(said.tray, "volume", undefined, world.trayLitres, 2),
		row(said.spilled, "volume", undefined, truth.litresSpilled, 2),
		row(said.pastBowl, "small", undefined, truth.freeWaterPastBowlMl),
		[said.dry, said.nothing, span(1_000 * truth.dryPumpSeconds)],
		[said.roll, said.nothing, `${numeral(world.rollDeg, 1)}${words().bench.world.degrees}`],
		[said.deadMan, said.nothing, world.isDeadManHolding ? said.holds : said.open],
	];
	return (
		<>
			<p class="hint">{said.hint}</p>
			<Table
				caption={said.heading}
				hidesCaption
				columns={[
					{ head: said.what },
					{ head: said.sensed, isNumber: true },
					{ head: said.truth, isNumber: true },
				]}
				rows={rows}
			/>
		</>
	);
}

/** Of the order at work, or the last one. */
function litresOf(status: Status | null): number | undefined {
	return status === null ? undefined : status.run.pulses / status.pulsesPerLitre;
}
