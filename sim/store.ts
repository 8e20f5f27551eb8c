// A store of liquid: fuel, free water and water dispersed in the fuel, L each. Every store is
// integrated by itself from the parcels that pass; none is ever computed as what is left over, so
// that their sum proves the model.

export interface Parcel {
	fuel: number;
	free: number;
	dispersed: number;
}

export const parcel = (fuel = 0, free = 0, dispersed = 0): Parcel => ({ fuel, free, dispersed });

export const volume = ({ fuel, free, dispersed }: Parcel): number => fuel + free + dispersed;

export class Store {
	readonly holds: Parcel;

	constructor(holds: Parcel = parcel()) {
		this.holds = { ...holds };
	}

	get litres(): number {
		return volume(this.holds);
	}

	take(moved: Parcel): void {
		this.holds.fuel -= moved.fuel;
		this.holds.free -= moved.free;
		this.holds.dispersed -= moved.dispersed;
	}

	give(moved: Parcel): void {
		this.holds.fuel += moved.fuel;
		this.holds.free += moved.free;
		this.holds.dispersed += moved.dispersed;
	}

	/** `litres` of the whole as it is mixed, never more than there is. */
	sample(litres: number): Parcel {
		const all = this.litres;
		const share = all <= 0 ? 0 : Math.min(1, litres / all);
		const { fuel, free, dispersed } = this.holds;
		return parcel(fuel * share, free * share, dispersed * share);
	}
}

export function move(from: Store, to: Store, moved: Parcel): void {
	from.take(moved);
	to.give(moved);
}
