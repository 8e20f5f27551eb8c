// A monotonic clock that goes on while the computer sleeps. Node's own stands still then: a
// controller that wakes up would see no gap and go on pumping. Two clocks are read: the fine one
// that sleeps, and the coarse one of the kernel that does not; when they part, the difference is
// added.

/** Milliseconds; less apart than this is the coarse clock's grain. */
const PARTED_MS = 250;
/** The coarse clock is read so often at most, ms of the fine one. */
const LOOK_EVERY_MS = 50;

/**
 * @param fineMs monotonic, may stand still during sleep
 * @param coarseMs goes on during sleep, in steps of 10 ms or so, never set by anybody
 */
export function createBootClock(fineMs: () => number, coarseMs: () => number): () => number {
	const apart = () => coarseMs() - fineMs();
	const apartAtStart = apart();
	let asleepMs = 0;
	let lookedMs = fineMs();
	return () => {
		const now = fineMs();
		if (now - lookedMs >= LOOK_EVERY_MS) {
			lookedMs = now;
			const more = apart() - apartAtStart - asleepMs;
			if (more > PARTED_MS) asleepMs += more;
		}
		return now + asleepMs;
	};
}
