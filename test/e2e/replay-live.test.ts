// Why it stopped, and would it today: a rig with water under its tube runs in real time on the
// stock image, trips, is pulled, and its last minutes are decided again as they were. On a machine
// too busy for the board's real time it trips for that, sooner: decided again just as well.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { replayAnswer } from "../../host/replay/answer.ts";
import { LiveRig, until } from "./live.ts";

describe("a rig on the stock image that meets water", { timeout: 240_000 }, () => {
	const rig = new LiveRig();
	beforeAll(() => rig.start(["--water-ml", "3000"]), 30_000);
	afterAll(() => rig.end(), 30_000);

	const isTripped = () =>
		rig.edges().some(({ channel, level }) => channel === "lamp-trip" && level === "high");

	it("is decided again tick by tick as it was", async () => {
		await rig.control();
		const order = ["order", "polish", rig.linkAshore, "--tank", "port", "--litres", "50"];
		// The board is slow to have reported all of it where others work too.
		for (let n = 0; n < 30 && !isTripped(); n += 1) {
			const { stdout } = await rig.lees(...order, "--attended", "--no-sweep-first");
			if (stdout.startsWith("polish accepted")) break;
		}
		await until(isTripped, 120);
		const pulled = await rig.lees("pull", rig.linkAshore, "--archive", rig.archive, "--json");
		expect(JSON.parse(pulled.stdout)).toMatchObject({ isComplete: true });

		const replayed = await rig.lees("replay", "last", "--archive", rig.archive, "--json");
		const answer = replayAnswer.parse(JSON.parse(replayed.stdout));
		expect(answer).toMatchObject({ kind: "exact", isIdentical: true, difference: null });
		expect(replayed.status).toBe(0);
		expect(answer.account.map(({ what }) => what).join("\n")).toContain("TRIP ");
		expect(answer.recordedBy).toEqual(answer.replayedBy);

		const archive = new Archive(rig.archive, { create: false });
		const [storeId = ""] = archive.stores();
		const sizes = archive
			.windows(storeId)
			.map(({ seq }) => archive.window(storeId, seq)?.length ?? 0);
		archive.close();
		const trips = answer.account.filter(({ what }) => what.startsWith("TRIP"));
		console.log(`${answer.ticks} ticks in windows of ${sizes.join(" and ")} B: ${trips[0]?.what}`);
	});
});
