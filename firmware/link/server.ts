// The link's server: several clients, each on its line, and one budget of work in a tick for all of
// them, shared out frame by frame in turn. It can ask for a status, hand commands to the next tick
// and read durable records; nothing else, and never a pin.

import type { FillList, ProofList, ProofNow } from "../commission/schemas.ts";
import type { Command } from "../cycle/commands.ts";
import type { PinnedWindow } from "../log/pinned-windows.ts";
import type { WindowFacts } from "../log/window-filler.ts";
import type { EncodedBatch } from "./batch.ts";
import { Budget, ByteQueue, CommandAllowance } from "./budget.ts";
import type { Pairing } from "./pairing.ts";
import type { Decision, Senses, Status } from "./protocol.ts";
import type { RigText } from "./rig-text.ts";
import { type Line, LinkSession } from "./session.ts";
import type { EncodedWindowPart, WindowPartWant } from "./window-part.ts";

/** The next log frame of a transfer. */
export interface BatchWant {
	readonly transfer: number;
	readonly from: number;
	/** Within record `from`, when it is too large for one frame. */
	readonly offset: number;
	/** The last record that may be in it. */
	readonly to: number;
}

/** What a link may do to a controller. */
export interface LinkHost {
	readonly storeId: string;
	readonly boot: number;
	readonly rig: string;
	readonly rigText: RigText;
	/** Where codes for pages are shown and checked; a link has no other authority to give. */
	readonly pairing: Pick<Pairing, "show" | "check">;
	status(): Status;
	senses(): Senses;
	/** Steps of commissioning from that one on, some of them. */
	proofs(from: number): ProofList;
	/** The step under way, and the last one of this boot. */
	trialNow(): ProofNow;
	/** Fills that the meter's factor is made of. */
	fills(): FillList;
	submit(command: Command): Promise<Decision>;
	/** Records up to this number may be sent: they survive a power cut. */
	durableSeq(): number;
	/** @returns null when the store has none of what is wanted */
	readBatch(want: BatchWant): Promise<EncodedBatch | null>;
	/** Windows of tick inputs that durable records after that one have pinned, some of them. */
	windows(after: number): Promise<readonly PinnedWindow[]>;
	/** Makes one ready to be read; null when there is none. */
	window(seq: number): Promise<WindowFacts | null>;
	/** @returns null when it has to be made ready anew */
	readWindow(want: WindowPartWant): Promise<EncodedWindowPart | null>;
}

export class LinkServer {
	private readonly host: LinkHost;
	private readonly sessions: LinkSession[] = [];
	private readonly queues = new Map<LinkSession, ByteQueue>();
	/** Of lines that are gone: whoever comes back a thousand times a second makes none anew. */
	private readonly spare: ByteQueue[] = [];
	private readonly budget = new Budget();
	private readonly commands = new CommandAllowance();
	/** Whose turn it is. */
	private turn = 0;

	constructor(host: LinkHost) {
		this.host = host;
	}

	/** Serves one more line; what comes on it goes to the session's `push`. */
	open(line: Line): LinkSession {
		const queue = this.spare.pop() ?? new ByteQueue();
		const session = new LinkSession(this.host, line, queue, this.commands, () => this.hear());
		this.sessions.push(session);
		this.queues.set(session, queue);
		return session;
	}

	/** The line is gone: nothing of it is answered any more. */
	close(session: LinkSession): void {
		session.end();
		const at = this.sessions.indexOf(session);
		const queue = this.queues.get(session);
		if (at === -1 || queue === undefined) return;
		this.sessions.splice(at, 1);
		this.queues.delete(session);
		this.spare.push(queue);
	}

	/** To be called once in every tick: what waited is handled, and new records go to who follows. */
	everyTick(): void {
		this.budget.refill();
		this.commands.refill();
		this.hear();
		for (const session of this.sessions) session.serve();
	}

	/** Handles input for as long as the tick's budget lasts: one frame of each client in turn. */
	private hear(): void {
		const { sessions, budget } = this;
		for (let idle = 0; idle < sessions.length && budget.bytesLeft > 0; ) {
			this.turn = (this.turn + 1) % sessions.length;
			idle = sessions[this.turn]?.takeTurn(budget) === true ? 0 : idle + 1;
		}
	}
}
