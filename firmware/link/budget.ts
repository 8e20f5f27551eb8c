// What the link may cost the controller: so many frames and bytes of input in a tick, all clients
// together, and so many bytes that wait in a client's queues. No clock: the tick refills it.

/** Frames of input, good or broken, that are handled in one tick. */
export const FRAMES_PER_TICK = 8;
/** Bytes of input that are looked at in one tick. */
export const BYTES_PER_TICK = 4_096;
/** Bytes that may wait for a client, on the way in and on the way out; more, and it is dropped. */
export const QUEUE_BYTES_MAX = 65_536;

export class Budget {
	private frames = FRAMES_PER_TICK;
	private bytes = BYTES_PER_TICK;

	/** Bytes that may still be looked at; 0 when nothing may be handled any more. */
	get bytesLeft(): number {
		return this.frames > 0 ? this.bytes : 0;
	}

	refill(): void {
		this.frames = FRAMES_PER_TICK;
		this.bytes = BYTES_PER_TICK;
	}

	spend(frames: number, bytes: number): void {
		this.frames -= frames;
		this.bytes -= bytes;
	}
}

/** Commands that may come at once, stops left out; each leaves a record that is never thinned. */
export const COMMANDS_AT_ONCE = 20;
/** Ticks after which one more may come. */
const TICKS_A_COMMAND = 10;

/** What all clients together may ask to be written down: a bad one must not fill the disk. */
export class CommandAllowance {
	private ticks = COMMANDS_AT_ONCE * TICKS_A_COMMAND;

	refill(): void {
		this.ticks = Math.min(COMMANDS_AT_ONCE * TICKS_A_COMMAND, this.ticks + 1);
	}

	/** @returns false when none is left */
	spend(): boolean {
		if (this.ticks < TICKS_A_COMMAND) return false;
		this.ticks -= TICKS_A_COMMAND;
		return true;
	}
}

/** Bytes in the order in which they came, in one piece of memory. */
export class ByteQueue {
	private readonly memory = Buffer.alloc(QUEUE_BYTES_MAX);
	private begin = 0;
	private end = 0;

	get length(): number {
		return this.end - this.begin;
	}

	/** @returns false when there is no room for them; none is kept then */
	push(bytes: Uint8Array): boolean {
		if (this.length + bytes.length > this.memory.length) return false;
		if (this.end + bytes.length > this.memory.length) {
			this.memory.copyWithin(0, this.begin, this.end);
			this.end -= this.begin;
			this.begin = 0;
		}
		this.memory.set(bytes, this.end);
		this.end += bytes.length;
		return true;
	}

	/** The first ones, at most so many; good until the next push. */
	peek(bytesMax: number): Buffer {
		return this.memory.subarray(this.begin, Math.min(this.end, this.begin + bytesMax));
	}

	skip(count: number): void {
		this.begin += count;
		if (this.begin === this.end) this.clear();
	}

	clear(): void {
		this.begin = 0;
		this.end = 0;
	}
}
