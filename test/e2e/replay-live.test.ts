// Why it stopped, and would it today: a rig with water under its tube runs in real time on the stock
// image, trips, is pulled, and its last minutes are decided again as they were.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { replayAnswer } from "../../host/replay/answer.ts";
import { LiveRig, until } from "./live.ts";

describe("a rig on the stock image that meets water", { timeout: 180_000 }, () => {
	const rig = new LiveRig();
	beforeAll(() => rig.start(["--water-ml", "3000"]), 30_000);
	afterAll(() => rig.end(), 30_000);

	it("is decided again tick by tick as it was, and otherwise with another setpoint", async () => {
		await rig.control();
		const order = ["order", "polish", rig.linkAshore, "--tank", "port", "--litres", "50"];
		// On a busy machine the board is slow to have reported all of it.
		let said = "";
		for (let n = 0; n < 20 && !said.startsWith("polish accepted"); n += 1) {
			said = (await rig.lees(...order, "--attended", "--no-sweep-first")).stdout;
		}
		expect(said).toBe("polish accepted\n");
		const tripped = () =>
			rig.edges().some(({ channel, level }) => channel === "lamp-trip" && level === "high");
		await until(tripped, 120);
		const pulled = await rig.lees("pull", rig.linkAshore, "--archive", rig.archive, "--json");
		expect(JSON.parse(pulled.stdout)).toMatchObject({ isComplete: true, windows: 2 });

		const replayed = await rig.lees("replay", "last", "--archive", rig.archive, "--json");
		const answer = replayAnswer.parse(JSON.parse(replayed.stdout));
		expect(answer).toMatchObject({ kind: "exact", isIdentical: true, difference: null });
		expect(replayed.status).toBe(0);
		expect(answer.ticks).toBeGreaterThan(200);
		expect(answer.account.map(({ what }) => what).join("\n")).toContain("TRIP ");
		expect(answer.recordedBy).toEqual(answer.replayedBy);

		const what = ["replay", "last", "--archive", rig.archive, "--set"];
		const other = await rig.lees(...what, "primedForMs=9000");
		expect(other.status).toBe(1);
		expect(other.stdout).toContain("DIFFERENT at 0:00:");

		const archive = new Archive(rig.archive, { create: false });
		const [storeId = ""] = archive.stores();
		const sizes = archive
			.windows(storeId)
			.map(({ seq }) => archive.window(storeId, seq)?.length ?? 0);
		archive.close();
		console.log(`windows of ${sizes.join(" and ")} B; ${answer.ticks} ticks in the last one`);
	});
});
