// The server's hold on a controller: a link that comes up when nobody answers yet, outlives cables
// and restarts for days, and takes another controller at the same port for what it is. It asks and
// hands on; what is ordered the pages order. Imports the link's client and Node's clock.

import { existsSync } from "node:fs";
import { setTimeout as sleep } from "node:timers/promises";
import { InputError } from "../../firmware/config/input-error.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import {
	type Decision,
	type Method,
	type Params,
	type Result,
	results,
} from "../../firmware/link/protocol.ts";
import { LiveScene, type Seen } from "../link/live-scene.ts";
import { systemPorts } from "../link/reconnect.ts";
import { SteadyLink } from "../link/steady-link.ts";
import { readRigOverLink } from "./rig-reading.ts";
import { SeriesKeeper } from "./series-keeper.ts";
import { StopLane } from "./stop-lane.ts";

/** Nothing was sent: there is nobody to send it to. */
export class LinkAway extends Error {}

/** Too much is being asked already: nothing was sent. */
export class LinkBusy extends Error {}

export interface LiveLinkParts {
	readonly port: string;
	/** Ends it. */
	readonly signal: AbortSignal;
	/** One line for who looks at this computer's terminal. */
	readonly tell: (line: string) => void;
	/** Called while nothing of the log is under way; keeps it from the line until it has ended. */
	readonly archive?: ArchiveKeeping;
}

/** Takes the line now and then, to fetch the log over it. */
export interface ArchiveKeeping {
	/** Aborted when the line is wanted. */
	wanted(): AbortSignal;
	/** @param link lost or not, it does not wait for its return */
	pull(link: SteadyLink, signal: AbortSignal): Promise<void>;
	/** An order has come to its end. */
	runEnded(): void;
}

/** A first look back covers the run at work: five hours of samples. */
const LOOK_BACK = 20_000;
/** Where nobody answers it is tried again after so long, ms. */
const TRY_EVERY_MS = 1_000;
const LOOK_EVERY_MS = 1_000;
/** Not heard for so long is not up, ms. */
const OLD_MS = 3_000;
/** Questions of all pages that are under way; a stop is none of them. */
const CALLS_MAX = 8;

export class LiveLink {
	/** Called after each change. */
	onChange: () => void = () => {};
	/** Called with each look at the sensors, once a second. */
	onSenses: () => void = () => {};
	readonly series = new SeriesKeeper();
	rig: Rig | null = null;
	private readonly parts: LiveLinkParts;
	private readonly stops: StopLane;
	private link: SteadyLink | null = null;
	private scene: LiveScene | null = null;
	private whyNone = "no controller has answered yet";
	/** Why its rig file is of no use here; empty when it is. */
	private rigWhy = "";
	private calls = 0;

	constructor(parts: LiveLinkParts) {
		this.parts = parts;
		this.stops = new StopLane((id) => this.sendStop(id));
	}

	get seen(): Seen | null {
		return this.scene?.now ?? null;
	}

	/** The line is there and somebody has answered on it just now. */
	get isUp(): boolean {
		const heardAgoMs = this.heardAgoMs;
		const isLost = this.seen === null || this.seen.lostAtMs !== null;
		return !isLost && heardAgoMs !== null && heardAgoMs <= OLD_MS;
	}

	/** Age of what is known, ms; null before the first. */
	get heardAgoMs(): number | null {
		const { seen } = this;
		if (seen === null) return null;
		const atMs =
			seen.senses === null ? seen.statusAtMs : Math.min(seen.statusAtMs, seen.sensesAtMs);
		return performance.now() - atMs;
	}

	/** Why there is none, or what is wrong with it; empty where all is well. */
	get why(): string {
		const { seen } = this;
		if (this.isUp) return this.rigWhy;
		if (seen === null || seen.lostAtMs !== null) return this.whyNone;
		return "the line is there and the controller does not answer";
	}

	/** Of the log there is at the other end, or was. */
	get storeId(): string | null {
		return this.link?.hello.storeId ?? null;
	}

	knows(method: Method): boolean {
		return this.link?.hello.methods.includes(method) === true;
	}

	/**
	 * Asks the controller for a page.
	 * @throws LinkAway or LinkBusy when nothing was sent
	 * @throws NoAnswer when what was asked may have been done or not
	 * @throws InputError when the controller answers with an error
	 */
	async call<M extends Method>(method: M, params: Params<M>): Promise<Result<M>> {
		const { link } = this;
		if (link === null || !this.isUp) throw new LinkAway(this.why);
		if (this.calls >= CALLS_MAX) throw new LinkBusy("too many questions are under way");
		this.calls += 1;
		try {
			return await link.client.call(method, params);
		} finally {
			this.calls -= 1;
			void this.scene?.look(link);
		}
	}

	/** Pump off. Not one of the calls above, and behind none of them. @returns null: no answer */
	stop(id: string): Promise<Decision | null> {
		return this.stops.stop(id);
	}

	/** Until the signal comes. */
	async run(): Promise<void> {
		const { signal } = this.parts;
		while (!signal.aborted) {
			const link = await this.find();
			if (link === null) return;
			this.link = link;
			try {
				await this.keep(link);
			} catch (error) {
				if (!(error instanceof InputError)) throw error;
				this.lose(error.message);
			} finally {
				await link.close();
			}
			await sleep(TRY_EVERY_MS, undefined, { signal }).catch(() => {});
		}
	}

	/** The first time, or after another controller has come. */
	private async find(): Promise<SteadyLink | null> {
		const { port, signal } = this.parts;
		// It may be away for days.
		const patience = { ...systemPorts, patienceMs: Number.POSITIVE_INFINITY, signal };
		while (!signal.aborted) {
			try {
				// Whether it is there is asked first: it costs nothing, and listing ports does.
				if (isThere(port)) return await SteadyLink.open(port, patience);
				this.lose(`no port or socket ${port}: is the controller running?`);
			} catch (error) {
				if (!(error instanceof InputError)) throw error;
				this.lose(error.message);
			}
			await sleep(TRY_EVERY_MS, undefined, { signal }).catch(() => {});
		}
		return null;
	}

	/** As long as it is the same controller's log. */
	private async keep(link: SteadyLink): Promise<void> {
		const { signal, archive, tell } = this.parts;
		const scene = new LiveScene(link, await link.client.call("status", {}), LOOK_BACK);
		this.begin(scene);
		tell(`the controller answers: ${link.hello.rig}`);
		void this.readRig(link);
		while (!signal.aborted) {
			const wanted = archive?.wanted() ?? signal;
			const end = await scene.follow(link, AbortSignal.any([signal, wanted]));
			if (signal.aborted) return;
			if (end === "ended" && archive !== undefined) {
				await this.lend(link, scene, archive);
				continue;
			}
			this.whyNone = "the line to the controller is lost; it is looked for";
			scene.lose();
			tell("the line to the controller is lost; waiting for it to come back");
			if (!(await link.again())) return;
			const status = await link.client.call("status", {}).catch(() => scene.now.status);
			if (link.hello.boot !== scene.now.boot) this.series.clear();
			scene.find(link, status);
			void this.readRig(link);
			tell("the controller answers again");
		}
	}

	/** The archive has the line's log; how the controller stands is asked for meanwhile. */
	private async lend(link: SteadyLink, scene: LiveScene, archive: ArchiveKeeping): Promise<void> {
		const timer = setInterval(() => void scene.look(link), LOOK_EVERY_MS);
		try {
			await archive.pull(link, this.parts.signal);
		} finally {
			clearInterval(timer);
		}
	}

	private begin(scene: LiveScene): void {
		this.scene = scene;
		this.rig = null;
		this.rigWhy = "";
		this.series.clear();
		let sensesAtMs = 0;
		scene.onChange = () => {
			const { senses, sensesAtMs: atMs, status } = scene.now;
			if (senses !== null && atMs !== sensesAtMs) {
				sensesAtMs = atMs;
				this.series.takeSenses(senses, status.order !== null);
				this.onSenses();
			}
			this.onChange();
		};
		scene.onBatches = (batches) => {
			const { hasEvents, hasRunEnd } = this.series.takeBatches(batches, scene.now.boot);
			if (hasRunEnd) this.parts.archive?.runEnded();
			if (hasEvents && this.link !== null) void scene.look(this.link);
		};
		this.onChange();
	}

	private lose(why: string): void {
		if (why !== this.whyNone) this.parts.tell(why);
		this.whyNone = why;
		this.scene?.lose();
		this.onChange();
	}

	/** Anew at each return: it may have been changed meanwhile. */
	private async readRig(link: SteadyLink): Promise<void> {
		const { client } = link;
		const read = await readRigOverLink(link);
		if (read === null || this.link?.client !== client) return;
		if (read.why !== this.rigWhy && read.why !== "") this.parts.tell(read.why);
		this.rig = read.rig;
		this.rigWhy = read.why;
		this.onChange();
	}

	/** Asked again when no answer comes: a frame may be lost, and a second stop does no harm. */
	private async sendStop(id: string): Promise<Decision | null> {
		for (let tries = 0; tries < STOP.tries; tries += 1) {
			const { link } = this;
			if (link === null || this.seen?.lostAtMs !== null) return null;
			const response = await link.client.ask("stop", { id }, STOP.answerMs);
			if (response === null || "error" in response) continue;
			const decision = results.stop.safeParse(response.result);
			void this.scene?.look(link);
			if (decision.success) return decision.data;
		}
		return null;
	}
}

const STOP = { tries: 3, answerMs: 1_000 };

/** Elsewhere a port is not a file. */
const isThere = (port: string): boolean => process.platform === "win32" || existsSync(port);
