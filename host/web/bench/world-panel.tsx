// The world around the rig, to be changed while it is watched: what is poured into a tank, sea and
// heel, warm and cold, battery and charger, where tube and return are.

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Weather } from "../../../sim/bench/crew.ts";
import type { CrewAct } from "../../../sim/bench/crew-schema.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Select } from "../kit/field.tsx";
import { measure, numeral } from "../units.ts";
import { words } from "../words/words.ts";
import { Slider } from "./slider.tsx";
import type { BenchDeed, TankNow, WorldNow } from "./world.ts";

interface PanelProps {
	readonly world: WorldNow;
	readonly act: (deed: BenchDeed) => void;
}

export function WorldPanel(props: PanelProps) {
	const said = words().bench.world;
	return (
		<>
			<Part title={said.pour} isOpen>
				<Pouring {...props} />
			</Part>
			<Part title={said.sea}>
				<SeaAndHeel {...props} />
			</Part>
			<Part title={said.cold}>
				<WarmAndCold {...props} />
			</Part>
			<Part title={said.supply}>
				<Supply {...props} />
			</Part>
			<Part title={said.hoses}>
				<Hoses {...props} />
			</Part>
		</>
	);
}

interface PartProps {
	readonly title: string;
	readonly isOpen?: boolean;
	readonly children: ComponentChildren;
}

/** A part of the controls that can be folded away. */
export function Part({ title, isOpen = false, children }: PartProps) {
	return (
		<details class="more part" open={isOpen}>
			<summary>
				<h3>{title}</h3>
			</summary>
			{children}
		</details>
	);
}

function Pouring({ world, act }: PanelProps) {
	const said = words().bench.world;
	const taste = useChoices();
	const [picked, setPicked] = useState("");
	const tank = world.tanks.find(({ name }) => name === picked) ?? world.tanks[0];
	if (tank === undefined) return null;
	const { name, volumeLitres, fuelLitres, waterLitres } = tank;
	const roomLitres = volumeLitres - fuelLitres - waterLitres;
	const litres = (value: number) => measure("volume", value, taste, 1);
	const grams = (value: number) => gramsText(value);
	const does = (rest: Omit<CrewAct, "tank">) => act({ kind: "crew", act: { ...rest, tank: name } });
	return (
		<>
			<Select
				label={said.tank}
				value={name}
				options={world.tanks.map((one) => [one.name, one.name] as const)}
				onPick={setPicked}
			/>
			<p class="hint">{holdsText(tank, litres)}</p>
			<Amount
				label={said.water}
				button={said.pourWater}
				max={20}
				step={0.1}
				begin={2}
				room={roomLitres}
				text={litres}
				give={(amount) => does({ does: "pour-water", litres: amount })}
			/>
			<Amount
				label={said.sludge}
				button={said.addSludge}
				max={400}
				step={10}
				begin={100}
				text={grams}
				give={(amount) => does({ does: "add-sludge", grams: amount })}
			/>
			<Amount
				label={said.dirt}
				button={said.addDirt}
				max={200}
				step={5}
				begin={40}
				text={grams}
				give={(amount) => does({ does: "add-dirt", grams: amount })}
			/>
			<Amount
				label={said.fuel}
				button={said.pourFuel}
				max={20}
				step={1}
				begin={20}
				room={roomLitres}
				text={litres}
				give={(amount) => does({ does: "pour", litres: amount })}
			/>
		</>
	);
}

const gramsText = (value: number): string => {
	const { withUnit, units } = words().kit;
	return withUnit(numeral(value, 0), units.grams);
};

function holdsText(tank: TankNow, litres: (value: number) => string): string {
	const { tankHolds } = words().bench.world;
	const { name, fuelLitres, waterLitres, sludgeGrams, dirtGrams } = tank;
	return tankHolds(
		name,
		litres(fuelLitres),
		litres(waterLitres),
		gramsText(sludgeGrams),
		gramsText(dirtGrams),
	);
}

interface AmountProps {
	readonly label: string;
	readonly button: string;
	readonly max: number;
	readonly step: number;
	readonly begin: number;
	/** What there is room for; left out: no matter. */
	readonly room?: number;
	readonly text: (value: number) => string;
	readonly give: (amount: number) => void;
}

/** How much, and the button that does it. */
function Amount({ label, button, max, step, begin, room, text, give }: AmountProps) {
	const [amount, setAmount] = useState(begin);
	const fits = room === undefined || amount <= room;
	return (
		<div class="amount">
			<Slider
				label={label}
				min={step}
				max={max}
				step={step}
				value={amount}
				text={text}
				onSet={setAmount}
			/>
			<Button onPress={() => fits && give(amount)} isBusy={!fits}>
				{button}
			</Button>
			{!fits && <p class="hint">{words().bench.world.noRoom}</p>}
		</div>
	);
}

function SeaAndHeel({ world, act }: PanelProps) {
	const said = words().bench.world;
	const { withUnit, units } = words().kit;
	const { sea, heelDeg } = world;
	const turn = (weather: Weather) => act({ kind: "weather", weather });
	const degrees = (value: number) => `${numeral(value, 0)}${said.degrees}`;
	return (
		<>
			<Slider
				label={said.roll}
				min={0}
				max={35}
				step={1}
				value={sea.rollDeg}
				text={degrees}
				onSet={(rollDeg) => turn({ sea: { ...sea, rollDeg } })}
			/>
			<Slider
				label={said.period}
				min={2}
				max={20}
				step={1}
				value={sea.periodS}
				text={(value) => withUnit(numeral(value, 0), units.seconds)}
				onSet={(periodS) => turn({ sea: { ...sea, periodS } })}
			/>
			<Slider
				label={said.heel}
				min={-20}
				max={20}
				step={1}
				value={heelDeg}
				text={degrees}
				onSet={(heelDeg) => turn({ heelDeg })}
			/>
		</>
	);
}

function WarmAndCold({ world, act }: PanelProps) {
	const said = words().bench.world;
	const taste = useChoices();
	const turn = (weather: Weather) => act({ kind: "weather", weather });
	const degrees = (value: number) => measure("temperature", value, taste, 0);
	return (
		<>
			<Slider
				label={said.fuelHeat}
				min={-20}
				max={50}
				step={1}
				value={Math.round(world.fuelC)}
				text={degrees}
				onSet={(fuelC) => turn({ fuelC })}
			/>
			<Slider
				label={said.air}
				min={-20}
				max={50}
				step={1}
				value={world.airC}
				text={degrees}
				onSet={(airC) => turn({ airC })}
			/>
			<Slider
				label={said.swing}
				min={0}
				max={20}
				step={1}
				value={world.airSwingK}
				text={(value) => words().kit.withUnit(numeral(value, 0), said.kelvin)}
				onSet={(airSwingK) => turn({ airSwingK })}
			/>
		</>
	);
}

function Supply({ world, act }: PanelProps) {
	const said = words().bench.world;
	const taste = useChoices();
	const [volts, setVolts] = useState(12);
	return (
		<>
			<Slider
				label={said.charger}
				min={0}
				max={50}
				step={1}
				value={world.chargerAmps}
				text={(value) => measure("amps", value, taste, 0)}
				onSet={(chargerAmps) => act({ kind: "weather", weather: { chargerAmps } })}
			/>
			<div class="amount">
				<Slider
					label={said.battery}
					min={10}
					max={15}
					step={0.1}
					value={volts}
					text={(value) => measure("volts", value, taste)}
					onSet={setVolts}
				/>
				<Button onPress={() => act({ kind: "crew", act: { does: "change-battery", volts } })}>
					{said.changeBattery}
				</Button>
			</div>
		</>
	);
}

function Hoses({ world, act }: PanelProps) {
	const said = words().bench.world;
	const options = world.tanks.map(({ name }) => [name, name] as const);
	return (
		<>
			<Select
				label={said.tubeIn}
				value={world.tubeTank}
				options={options}
				onPick={(tank) => act({ kind: "crew", act: { does: "move-tube", tank } })}
			/>
			<Select
				label={said.returnIn}
				value={world.returnTank}
				options={options}
				onPick={(tank) => act({ kind: "crew", act: { does: "move-return", tank } })}
			/>
		</>
	);
}
