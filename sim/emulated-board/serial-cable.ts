// The cable between the computer and the emulated board, as a port that can be opened: bytes go
// over at once and the board's own speed follows. It may lose bytes, and it may be out; opening it
// anew resets the board, as on common ones.

import { EventEmitter } from "node:events";
import type { Transport } from "../../firmware/board/johnny-five.ts";
import type { OpenedLine } from "../../firmware/board/steady-line.ts";
import { LossyLine } from "../lossy-line.ts";
import type { RigModel } from "../rig.ts";
import type { WiredBoard } from "./wiring.ts";

class Port extends EventEmitter implements Transport {
	private readonly send: (bytes: Buffer) => void;

	constructor(send: (bytes: Buffer) => void) {
		super();
		this.send = send;
	}

	write(bytes: Buffer, done?: () => void): boolean {
		this.send(bytes);
		done?.();
		return true;
	}
}

export class SerialCable {
	private readonly wired: WiredBoard;
	private readonly line: LossyLine;
	private port: Port | null = null;
	private wasOpened = false;

	constructor(wired: WiredBoard, model: RigModel, seed: number) {
		this.wired = wired;
		this.line = new LossyLine(model, seed);
		wired.board.onByte = (byte) => {
			if (this.port !== null && !this.isLost()) this.port.emit("data", Buffer.from([byte]));
		};
	}

	/** @throws Error while the cable is out */
	async open(): Promise<OpenedLine> {
		if (!this.wired.life.isPluggedIn) throw new Error("no such port");
		// The first time the board has its supply since this very moment.
		if (this.wasOpened) this.wired.life.reset();
		this.wasOpened = true;
		const port = new Port((bytes) => {
			const kept = this.line.isLossy ? bytes.filter(() => !this.isLost()) : bytes;
			if (this.port === port) this.wired.board.receive(kept);
		});
		this.port = port;
		return { transport: port, close: () => this.shut(port) };
	}

	/** Looks whether the cable has been pulled out. */
	watch(): void {
		const { port } = this;
		if (port === null || this.wired.life.isPluggedIn) return;
		this.shut(port);
		port.emit("close");
	}

	private shut(port: Port): void {
		if (this.port === port) this.port = null;
	}

	private isLost(): boolean {
		return this.line.isLossy && this.line.loses(1);
	}
}
