// The bench's time: how fast it goes, and whether it goes at all; beside it what the controller is
// about, so that both stay in sight while the world below is changed.

import { Button } from "../kit/button.tsx";
import { Select } from "../kit/field.tsx";
import { stateTitle } from "../live/state.tsx";
import { numeral } from "../units.ts";
import { words } from "../words/words.ts";
import type { BenchClient } from "./bench-client.ts";
import type { Frame, PaceNow, Speed } from "./world.ts";

const SPEEDS: readonly Speed[] = [1, 10, 60, 200, 1_000, null];
const SECOND_TICKS = 10;
const FASTEST = "fastest";

const keyOf = (speed: Speed): string => (speed === null ? FASTEST : String(speed));

export function TimeBar({ frame, client }: { frame: Frame; client: BenchClient }) {
	const { time } = words().bench;
	const { pace, scene, world } = frame;
	const options = SPEEDS.map((speed) => [keyOf(speed), speedText(speed)] as const);
	const pick = (key: string) =>
		client.pace({ speed: key === FASTEST ? null : Number(key), isPaused: false });
	return (
		<section class="time-bar" aria-labelledby="time-title">
			<h2 id="time-title" class="unseen">
				{time.heading}
			</h2>
			<p class="time-now">
				<strong>{stateTitle(scene)}</strong>{" "}
				<span class="time-clock">{time.now(clockText(world.nowMs))}</span>{" "}
				<span class="aside">{paceText(pace)}</span>
			</p>
			<div class="time-keys">
				<Button kind="main" onPress={() => client.pace({ isPaused: !pace.isPaused })}>
					{pace.isPaused ? time.go : time.pause}
				</Button>
				<Select label={time.speed} value={keyOf(pace.speed)} options={options} onPick={pick} />
				<Button onPress={() => client.step(1)} label={time.step}>
					{time.stepShort}
				</Button>
				<Button onPress={() => client.step(SECOND_TICKS)} label={time.stepSecond}>
					{time.stepSecondShort}
				</Button>
			</div>
		</section>
	);
}

const speedText = (speed: Speed): string => {
	const { time } = words().bench;
	return speed === null ? time.fastest : time.times(numeral(speed, 0));
};

function paceText({ isPaused, achieved }: PaceNow): string {
	const { time } = words().bench;
	if (isPaused) return time.paused;
	return time.runs(numeral(achieved, achieved < 10 ? 1 : 0));
}

/** `h:mm:ss.t`: a step is a tenth of a second. */
function clockText(ms: number): string {
	const tenths = Math.floor(ms / 100);
	const two = (n: number) => String(n).padStart(2, "0");
	const s = Math.floor(tenths / 10);
	return `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}.${tenths % 10}`;
}
