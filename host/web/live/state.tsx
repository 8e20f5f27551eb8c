// What the controller does, in words: its state, the pump, what it waits for, and how old all this
// is. A pump that was on when the line went may be on still: nobody here knows.

import { Notice, Told } from "../kit/notice.tsx";
import type { SceneNow } from "../scene.ts";
import { span } from "../units.ts";
import { words } from "../words/words.ts";
import { Reasons } from "./asking.tsx";

/** What is shown is told to be old from here on, ms. */
export const OLD_MS = 3_000;

export interface StateProps {
	readonly scene: SceneNow;
	readonly ageMs: number | null;
	/** Why nothing comes, where it is not the controller's doing. */
	readonly outage?: string | undefined;
}

export const isOld = ({ scene, ageMs, outage }: StateProps): boolean =>
	outage !== undefined || !scene.link.isUp || ageMs === null || ageMs > OLD_MS;

/** As `Polishing: port`; the state alone where no order is at work. */
export function stateTitle({ status }: SceneNow): string {
	const { live, rig } = words();
	if (status === null) return live.waiting;
	const { order, state } = status;
	const name = rig.states[state] ?? rig.otherState;
	const doing = state === "polishing" ? (rig.working[order?.work ?? ""] ?? name) : name;
	if (order === null) return name;
	const { tank, toTank } = order;
	if (toTank !== null) return live.state.workInto(doing, tank, toTank);
	return live.state.workAt(doing, tank);
}

const marks: Readonly<Record<string, string>> = {
	idle: "■",
	priming: "◔",
	polishing: "▶",
	resting: "❙❙",
	standing: "❙❙",
	held: "❙❙",
	commissioning: "□",
	tripped: "▲",
};

export function State(props: StateProps) {
	const { scene } = props;
	const { live, rig } = words();
	const { status } = scene;
	const old = isOld(props);
	return (
		<section class="state" aria-labelledby="state-title" data-state={status?.state}>
			<h1 id="state-title" class={old ? "state-title is-old" : "state-title"}>
				<span class="state-mark" aria-hidden="true">
					{marks[status?.state ?? ""] ?? "?"}
				</span>
				{stateTitle(scene)}
			</h1>
			{status !== null && (
				<>
					<p class="state-note">{rig.stateNotes[status.state] ?? ""}</p>
					<p class="pump-line">
						{live.state.pump}: <strong>{pumpWords(status.pumpDemanded, old)}</strong>
					</p>
				</>
			)}
			<Age {...props} />
			{scene.source === "bench" && <p class="hint">{live.onBench}</p>}
			{scene.rig?.invented === true && <p class="hint">{live.isInvented}</p>}
			<Waiting status={status} />
			{/* Told once at each change, and nothing else is: figures would never be quiet. */}
			<p class="unseen" role="status">
				{stateTitle(scene)}
			</p>
		</section>
	);
}

function pumpWords(isOn: boolean, old: boolean): string {
	const { on, off, was } = words().live.state;
	const word = isOn ? on : off;
	return old ? was(word) : word;
}

function Age({ scene, ageMs, outage }: StateProps) {
	const { live } = words();
	const isNow = ageMs !== null && ageMs <= OLD_MS;
	const isFine = outage === undefined && scene.link.isUp;
	if (isFine && isNow) return <p class="age">{live.ageNow}</p>;
	const age = ageMs === null ? live.never : live.age(span(ageMs));
	return (
		<Notice kind="caution" title={outage ?? (scene.link.isUp ? age : live.noController)}>
			<p class="age">{age}</p>
			{outage === undefined && scene.link.why !== "" && (
				<p>
					<Told>{scene.link.why}</Told>
				</p>
			)}
			<p>{live.stop.away}</p>
		</Notice>
	);
}

function Waiting({ status }: { readonly status: SceneNow["status"] }) {
	if (status === null) return null;
	const { live, rig } = words();
	const { heldFor, logFailed, waits } = status;
	return (
		<>
			{logFailed && (
				<Notice kind="alarm">
					<p>{live.state.logFailed}</p>
				</Notice>
			)}
			{heldFor.length > 0 && (
				<Notice kind="remark" title={live.state.heldFor}>
					<ul>
						{heldFor.map((cause) => (
							<li key={cause}>{rig.holds[cause] ?? <Told>{cause}</Told>}</li>
						))}
					</ul>
				</Notice>
			)}
			{waits !== null && (
				<Notice kind="remark" title={live.state.planWaits}>
					<Reasons reasons={[waits.why]} />
				</Notice>
			)}
		</>
	);
}

/** What an order has to reckon with. */
export function Standing({ scene: { status, senses } }: { readonly scene: SceneNow }) {
	if (status === null) return null;
	const { state } = words().live;
	const { armed, localTime, planned } = status;
	const tank = armed?.tank ?? null;
	return (
		<ul class="facts">
			<li>
				{armed === null ? state.notArmed : tank === null ? state.armedOpen : state.armedFor(tank)}
			</li>
			{planned.length > 0 && <li>{state.plans(String(planned.length))}</li>}
			{senses?.commissioned === false && <li>{state.notCommissioned}</li>}
			<li>{localTime === null ? state.noTime : state.time(localTime.replace("T", " "))}</li>
		</ul>
	);
}
