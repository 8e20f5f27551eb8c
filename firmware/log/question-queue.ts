// What the store's thread is asked, in an order in which everything is answered: what takes several
// turns is done one after the other, first come, first served, and what takes one goes in between.
// Several of the long ones by turns would push out each other's work for ever. Imports nothing.

export class QuestionQueue<Question> {
	private readonly short: Question[] = [];
	private readonly long: Question[] = [];
	private readonly isLong: (question: Question) => boolean;
	private readonly tryAnswer: (question: Question) => boolean;
	private isLongsTurn = false;

	/** @param tryAnswer takes one turn at it, and returns false when it is not done yet */
	constructor(isLong: (question: Question) => boolean, tryAnswer: (question: Question) => boolean) {
		this.isLong = isLong;
		this.tryAnswer = tryAnswer;
	}

	get length(): number {
		return this.short.length + this.long.length;
	}

	push(question: Question): void {
		(this.isLong(question) ? this.long : this.short).push(question);
	}

	/** One piece of work: a short question, then a turn at the first of the long ones, and so on. */
	takeTurn(): void {
		const { short, long } = this;
		const row = short.length === 0 || (this.isLongsTurn && long.length > 0) ? long : short;
		const [first] = row;
		this.isLongsTurn = row === short;
		if (first !== undefined && this.tryAnswer(first)) row.shift();
	}

	/** All that is not answered yet; none is left. */
	takeAll(): Question[] {
		return [...this.short.splice(0), ...this.long.splice(0)];
	}
}
