// A picture of the rig: tank, tube, bowl, element, pump, return. Our own drawing. What is hatched
// is not known; dashes that move are fuel that flows. All of it is said in words beside it.

import type { Senses, Status } from "../../../firmware/link/protocol.ts";
import { useChoices } from "../kit/choices.ts";
import type { SceneNow, TruthNow } from "../scene.ts";
import { measure } from "../units.ts";
import { words } from "../words/words.ts";
import { quantityText } from "./quantity.ts";

type Sensed = NonNullable<Senses["sensed"]>;

export interface PictureProps {
	readonly scene: SceneNow;
	readonly truth?: TruthNow | undefined;
	/** What is shown is not of now: nothing moves then. */
	readonly isOld: boolean;
}

/** Less is a meter's doubt, L/h. */
const FLOWS_LPH = 1;
const TANK = { top: 204, bottom: 316 } as const;
const BOWL = { left: 98, right: 162, top: 108, bottom: 178 } as const;
const SUCTION = "M48 304 V124 H98";
const TO_PUMP = "M130 48 V22 H236 V46";
/** Which way it goes, where nothing may move. */
const ARROWS = "M40 226 L48 212 L56 226 Z M176 14 L190 22 L176 30 Z M298 180 L306 194 L314 180 Z";
const RETURN_ONE = "M262 72 H306 V296";

export function Picture({ scene, truth, isOld }: PictureProps) {
	const { picture } = words().live;
	const taste = useChoices();
	const sensed = scene.senses?.sensed ?? null;
	const flow = sensed?.flowLph ?? null;
	const isFlowing = !isOld && typeof flow === "number" && flow >= FLOWS_LPH;
	const flowSaid =
		isOld || typeof flow !== "number"
			? picture.flowUnknown
			: isFlowing
				? picture.flows(measure("flow", flow, taste))
				: picture.still;
	const water = waterSaid(sensed, truth, scene);
	return (
		<figure class="picture">
			<svg viewBox="0 0 340 322" role="img" aria-label={`${flowSaid}. ${water}`}>
				<defs>
					<pattern id="unknown" width="8" height="8" patternUnits="userSpaceOnUse">
						<path d="M0 8 L8 0" class="hatch" />
					</pattern>
					<pattern id="water" width="10" height="6" patternUnits="userSpaceOnUse">
						<rect width="10" height="6" class="water" />
						<path d="M0 3 H6" class="water-mark" />
					</pattern>
				</defs>
				<Tanks scene={scene} sensed={sensed} />
				<g class={isFlowing ? "pipes is-flowing" : "pipes"}>
					{[SUCTION, TO_PUMP, RETURN_ONE].map((d) => (
						<g key={d}>
							<path class="pipe" d={d} />
							<path class="flow" d={d} />
						</g>
					))}
				</g>
				{isFlowing && <path class="arrows" d={ARROWS} />}
				<Unit sensed={sensed} truth={truth} scene={scene} />
				<Pump status={scene.status} isOld={isOld} />
				<Labels sensed={sensed} />
			</svg>
			<figcaption>
				<p>
					<strong>{flowSaid}</strong>
				</p>
				<p>{water}</p>
				<p class="hint">{picture.key}</p>
			</figcaption>
		</figure>
	);
}

function waterSaid(sensed: Sensed | null, truth: TruthNow | undefined, { rig }: SceneNow): string {
	const { picture, readings } = words().live;
	if (truth !== undefined && rig !== null) {
		const taste = { volume: "litres", pressure: "kilopascal", temperature: "celsius" } as const;
		const inMl = (ml: number) => measure("small", ml, taste);
		return picture.waterTruth(inMl(truth.bowlWaterMl), inMl(rig.bowl.sumpToProbeMl));
	}
	const probe = sensed?.probe;
	if (probe === "wet") return picture.waterAt;
	if (probe === "dry") return picture.waterUnder;
	return picture.waterUnknown(quantityText(probe ?? "", readings.none));
}

/** Bowl below, element above, as one unit. */
function Unit({ sensed, truth, scene }: UnitProps) {
	const { picture } = words().live;
	const bowl = scene.rig?.bowl;
	const height = BOWL.bottom - BOWL.top;
	const probeY = BOWL.bottom - height * (bowl ? bowl.sumpToProbeMl / bowl.volumeMl : 0.3);
	const isWet = sensed?.probe === "wet";
	const known =
		truth !== undefined && bowl !== undefined ? truth.bowlWaterMl / bowl.volumeMl : null;
	const waterY = known === null ? probeY : BOWL.bottom - height * Math.min(1, known);
	const bowlPath = `M${BOWL.left} ${BOWL.top} V156 Q98 178 130 178 Q162 178 162 156 V${BOWL.top}`;
	const fill = known !== null || isWet ? "url(#water)" : "url(#unknown)";
	return (
		<g class="unit">
			<clipPath id="bowl-inside">
				<path d={`${bowlPath} Z`} />
			</clipPath>
			<path class="fuel" d={`${bowlPath} Z`} />
			<g clip-path="url(#bowl-inside)">
				<rect x={BOWL.left} y={waterY} width="64" height={BOWL.bottom - waterY} fill={fill} />
			</g>
			<path class="wall" d={bowlPath} />
			<path class="probe" d={`M168 ${probeY} H138`} />
			<circle class="probe-tip" cx="136" cy={probeY} r="3.5" />
			<text x="172" y={probeY + 5}>
				{picture.probe}
			</text>
			<rect class="body" x="92" y="48" width="76" height="60" rx="4" />
			<path
				class="pleats"
				d="M104 100 V58 M113 100 V58 M122 100 V58 M138 100 V58 M147 100 V58 M156 100 V58"
			/>
			<text x="86" y="82" class="at-end">
				{picture.element}
			</text>
			<text x="92" y="172" class="at-end">
				{picture.bowl}
			</text>
		</g>
	);
}

interface UnitProps {
	readonly sensed: Sensed | null;
	readonly truth: TruthNow | undefined;
	readonly scene: SceneNow;
}

function Pump({ status, isOld }: { readonly status: Status | null; readonly isOld: boolean }) {
	const { picture } = words().live;
	const isOn = status?.pumpDemanded === true;
	const text =
		status === null || isOld ? picture.pumpUnknown : isOn ? picture.pumpOn : picture.pumpOff;
	return (
		<g class={isOn && !isOld ? "pump is-on" : "pump"}>
			<circle class="body" cx="236" cy="72" r="26" />
			<g class="rotor">
				<path d="M236 54 V90 M218 72 H254" />
			</g>
			<text x="236" y="117" class="in-middle strong">
				{text}
			</text>
		</g>
	);
}

function Labels({ sensed }: { readonly sensed: Sensed | null }) {
	const taste = useChoices();
	const { picture } = words().live;
	const vacuum = quantityText(sensed?.vacuumKpa ?? "", "", (kpa) => measure("vacuum", kpa, taste));
	const flow = quantityText(sensed?.flowLph ?? "", "", (lph) => measure("flow", lph, taste));
	return (
		<g>
			<text x="183" y="14" class="in-middle">
				{vacuum === "" ? "" : picture.vacuum(vacuum)}
			</text>
			<text x="236" y="136" class="in-middle">
				{flow}
			</text>
			<text x="40" y="118" class="in-middle">
				{picture.tube}
			</text>
			<text x="336" y="62" class="at-end">
				{picture.return}
			</text>
		</g>
	);
}

/** One tank, or in a transfer the two of them. */
function Tanks({ scene, sensed }: { readonly scene: SceneNow; readonly sensed: Sensed | null }) {
	const order = scene.status?.order ?? null;
	if (order !== null && order.toTank !== null) {
		return (
			<>
				<Tank
					name={order.tank}
					left={8}
					right={164}
					label={{ left: 60, width: 98 }}
					level={sensed?.levelFrom ?? ""}
				/>
				<Tank
					name={order.toTank}
					left={176}
					right={332}
					label={{ left: 182, width: 98 }}
					level={sensed?.levelTo ?? ""}
				/>
			</>
		);
	}
	const name = order?.tank ?? null;
	return (
		<Tank
			name={name}
			left={8}
			right={332}
			label={{ left: 102, width: 136 }}
			level={sensed?.levelFrom ?? ""}
		/>
	);
}

/** What a letter takes of a label at most. */
const LETTER_WIDTH = 9.5;
const shortened = (name: string, width: number) => {
	const most = Math.floor(width / LETTER_WIDTH);
	return name.length > most ? `${name.slice(0, most - 1)}…` : name;
};

interface TankProps {
	readonly name: string | null;
	readonly left: number;
	readonly right: number;
	/** Room of its label, beside the pipe. */
	readonly label: { readonly left: number; readonly width: number };
	/** Share, or why it is unknown. */
	readonly level: number | string;
}

function Tank({ name, left, right, label, level }: TankProps) {
	const { picture, readings } = words().live;
	const taste = useChoices();
	const { top, bottom } = TANK;
	const width = right - left;
	const isKnown = typeof level === "number";
	const share = isKnown ? Math.min(1, Math.max(0, level)) : 1;
	const y = bottom - share * (bottom - top);
	const text = isKnown
		? picture.level(measure("share", level, taste))
		: picture.levelUnknown(quantityText(level, readings.none));
	const middle = label.left + label.width / 2;
	return (
		<g class="tank">
			<rect
				class={isKnown ? "fuel" : undefined}
				fill={isKnown ? undefined : "url(#unknown)"}
				x={left}
				y={y}
				width={width}
				height={bottom - y}
			/>
			<path class="wall" d={`M${left} ${top} V${bottom} H${right} V${top}`} />
			<rect class="plate" x={label.left} y={238} width={label.width} height="46" rx="4" />
			<text x={middle} y={257} class="in-middle strong">
				{name === null ? (
					picture.anyTank
				) : (
					<tspan data-told="">{shortened(name, label.width)}</tspan>
				)}
			</text>
			<text x={middle} y={276} class="in-middle">
				{text}
			</text>
		</g>
	);
}
