// How far the run has come against its goal, what time is left and by what that is reckoned; on the
// bench what nobody aboard can know beside it.

import type { ComponentChildren } from "preact";
import { Bar } from "../kit/bar.tsx";
import { useChoices } from "../kit/choices.ts";
import type { SceneNow, Series, TruthNow } from "../scene.ts";
import { measure, numeral, roughSpan, span } from "../units.ts";
import { words } from "../words/words.ts";
import { type TimeLeft, timeLeft } from "./time-left.ts";

export interface RunProps {
	readonly scene: SceneNow;
	readonly series: Series;
	readonly truth?: TruthNow | undefined;
	/** What is shown is not of now: no time left is told by it. */
	readonly isOld: boolean;
}

export function Run({ scene, series, truth, isOld }: RunProps) {
	const { live, rig } = words();
	const taste = useChoices();
	const { status, senses } = scene;
	if (status === null) return null;
	const { order, run, pulsesPerLitre } = status;
	const litres = run.pulses / pulsesPerLitre;
	const hours = run.motorMs / 3_600_000;
	const heading = order === null ? live.run.lastHeading : live.run.heading;
	const isNothing = order === null && run.motorMs === 0;
	const left = timeLeft({ rig: scene.rig, status, senses, recent: series.recent });
	const pumped = measure("volume", litres, taste);
	const ran = measure("hours", hours, taste);
	return (
		<section class="run" aria-labelledby="run-title">
			<h2 id="run-title">
				{heading}
				{order !== null && `: ${rig.work[order.work] ?? rig.noWord}`}
			</h2>
			{isNothing ? (
				<p>{live.run.none}</p>
			) : (
				<>
					<Progress
						label={live.run.litres}
						done={pumped}
						share={order?.goalLitres ? litres / order.goalLitres : null}
						goal={order?.goalLitres ? measure("volume", order.goalLitres, taste) : null}
					/>
					<Progress
						label={live.run.hours}
						done={ran}
						share={order?.goalHours ? hours / order.goalHours : null}
						goal={order?.goalHours ? measure("hours", order.goalHours, taste) : null}
					/>
					{order?.goalShare != null && (
						<p>{live.run.toLevel(measure("share", order.goalShare, taste))}</p>
					)}
					{order !== null && !isOld && status.state !== "tripped" && (
						<Left order={order} left={left} />
					)}
				</>
			)}
			{truth !== undefined && <Truths truth={truth} />}
		</section>
	);
}

interface ProgressProps {
	readonly label: string;
	readonly done: string;
	readonly share: number | null;
	readonly goal: string | null;
}

function Progress({ label, done, share, goal }: ProgressProps) {
	if (share === null || goal === null) return <Fact name={label}>{done}</Fact>;
	return <Bar label={label} share={share} text={words().live.run.of(done, goal)} />;
}

export function Fact({ name, children }: { name: string; children: ComponentChildren }) {
	return (
		<p class="fact">
			<span>{name}</span> <strong>{children}</strong>
		</p>
	);
}

interface LeftProps {
	readonly order: {
		readonly goalLitres: number | null;
		readonly goalHours: number | null;
		readonly goalShare: number | null;
	};
	readonly left: TimeLeft | null;
}

function Left({ order, left }: LeftProps) {
	const { run } = words().live;
	const taste = useChoices();
	const { goalLitres, goalHours, goalShare } = order;
	if (goalLitres === null && goalHours === null && goalShare === null) return <p>{run.byBursts}</p>;
	if (left === null) {
		return (
			<>
				<Fact name={run.left}>{run.leftUnknown}</Fact>
				<p class="hint">{run.noBasis}</p>
			</>
		);
	}
	const flow = measure("flow", left.flowLph ?? 0, taste);
	const basis = { recent: run.byRecent(flow), run: run.byRun(flow), hours: run.byHours }[
		left.basis
	];
	return (
		<>
			<Fact name={run.left}>{run.leftAbout(roughSpan(left.leftMs))}</Fact>
			<p class="hint">
				{basis} {left.rests > 0 && run.withRests(numeral(left.rests, 0))} {run.withoutRests}
			</p>
		</>
	);
}

function Truths({ truth }: { readonly truth: TruthNow }) {
	const { run } = words().live;
	const taste = useChoices();
	return (
		<div class="truths">
			<Fact name={run.through}>{measure("volume", truth.litresThroughPump, taste)}</Fact>
			<Fact name={run.spilled}>{measure("volume", truth.litresSpilled, taste, 2)}</Fact>
			<Fact name={run.dryRun}>{span(truth.dryPumpSeconds * 1000)}</Fact>
			<Fact name={run.pastBowl}>{measure("small", truth.freeWaterPastBowlMl, taste)}</Fact>
		</div>
	);
}
