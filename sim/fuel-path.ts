// The way of the fuel: tank, pick-up, tube and hose, bowl, element, pump, return. Each step solves
// the circuit for its flows and then moves masses from store to store. Gas in the suction side is
// part of it: priming, loss of prime and gulps of air come out, none of them is a switch.

import type { Rig } from "../firmware/config/rig.ts";
import { Bowl, Element } from "./filter.ts";
import type { Fuel } from "./fuel.ts";
import { noMishaps } from "./mishaps.ts";
import { Circuit, GRAVITY_MS2 } from "./physics/circuit.ts";
import {
	deadHeadShare,
	freeFlowShare,
	type PumpCurve,
	type PumpKindRow,
	slipShare,
} from "./physics/pump.ts";
import { PickUp } from "./pick-up.ts";
import {
	kindOf,
	pumpCurve,
	pumpHeightM,
	ratedLiquid,
	returnPipe,
	suctionPipe,
	tubePipe,
} from "./rig-parts.ts";
import {
	COARSE,
	FINE,
	FREE,
	type Masses,
	moveAll,
	moveShare,
	noMasses,
	volumeM3,
} from "./species.ts";
import { SuctionLine } from "./suction-line.ts";
import type { Tank } from "./tank.ts";

/** What a stopped pump takes of a siphon's head, Pa s/m³: 0.1 L/min at 5 kPa (invented). */
const STOPPED_PA_PER_M3S = 3e9;
/** What a wall or sludge before the tube takes, Pa s/m³: 40 kPa at 95 L/h (invented). */
const BLOCKED_PA_PER_M3S = 1.5e9;
/** Where a return that has fallen out of its filler ends, m above the tank's floor: the bilge. */
const BILGE_M = -0.2;
/** Vacuum at which dissolved air begins to come out (common practice), Pa; and the share per Pa. */
const AIR_RELEASE_PA = 30e3;
const AIR_PER_PA = 4e-6;
/** Air in what the pump moves from which it runs dry (invented). */
const DRY_SHARE = 0.9;
/** A cube of ten micrometres: no flow. */
const TRACE_M3 = 1e-15;
const LITRES = 1e3;

export interface PathTruth {
	litresThroughPump: number;
	litresReturned: number;
	litresSpilled: number;
	freeWaterPastBowlMl: number;
	dispersedWaterPastElementMl: number;
	dryPumpSeconds: number;
}

export class FuelPath {
	readonly tanks: ReadonlyMap<string, Tank>;
	readonly line: SuctionLine;
	readonly bowl: Bowl;
	readonly element: Element;
	readonly circuit: Circuit;
	readonly mishaps = noMishaps();
	/** Where the crew drains to, and the can they refill the bowl from. */
	readonly container: Masses = noMasses();
	readonly can: Masses = noMasses();
	readonly spill: Masses = noMasses();
	readonly pickUp: PickUp;
	tubeTank: Tank | undefined;
	returnTank: Tank | undefined;
	atmospherePa: number;
	/** Vacuum at the pump's inlet, and pressure at its outlet, kPa. */
	vacuumKpa = 0;
	dischargeKpa = 0;
	/** Of what was spilled, that which ran into the tray, L. */
	trayLitres = 0;
	/** Share of air in what the pump moves, and of its dead head that it works against. */
	pumpAirShare = 0;
	headShare = 0;
	/** Volume through the pump's outlet in the last step, liquid and air, m³. */
	pumpedM3 = 0;
	pumpedAirM3 = 0;
	readonly truth: PathTruth = {
		litresThroughPump: 0,
		litresReturned: 0,
		litresSpilled: 0,
		freeWaterPastBowlMl: 0,
		dispersedWaterPastElementMl: 0,
		dryPumpSeconds: 0,
	};

	private readonly fuel: Fuel;
	private readonly kind: PumpKindRow;
	private readonly curve: PumpCurve;
	private readonly ratedPas: number;
	/** At the fuel's present viscosity. */
	private deadHeadPa = 0;
	private readonly bypassPa: number;
	private readonly pumpM: number;
	private readonly tubeRiseM: number;
	private readonly hoseRiseM: number;
	// Numbers of the step under way. They go by fields, as a call would put each in a box.
	private speed = 0;
	private voltsShare = 1;
	private pressure = 0;
	private outM3 = 0;
	private inM3 = 0;
	private readonly through: Masses = noMasses();
	private readonly drawn: Masses = noMasses();

	constructor(rig: Rig, fuel: Fuel, tanks: ReadonlyMap<string, Tank>, atmospherePa: number) {
		this.fuel = fuel;
		this.tanks = tanks;
		this.atmospherePa = atmospherePa;
		this.kind = kindOf(rig);
		this.curve = pumpCurve(rig);
		this.ratedPas = ratedLiquid(rig).dynamicPas;
		this.bypassPa = (rig.pump.bypassKpa ?? Number.POSITIVE_INFINITY) * 1e3;
		this.pickUp = new PickUp(rig.tube.clearanceMm * 1e-3, fuel);
		this.pumpM = pumpHeightM(rig);
		const tube = tubePipe(rig);
		this.circuit = new Circuit(tube, suctionPipe(rig), returnPipe(rig));
		const rise = this.pumpM - this.pickUp.clearanceM;
		this.tubeRiseM = Math.min(tube.lengthM, Math.max(0, rise));
		this.hoseRiseM = rise - this.tubeRiseM;
		const { tube: tubeConduit, hose } = this.circuit;
		const { m3PerKg } = fuel;
		this.line = new SuctionLine(tubeConduit.volumeM3, hose.volumeM3, m3PerKg, atmospherePa);
		this.bowl = new Bowl(rig, fuel);
		this.element = new Element(rig, fuel);
		this.can[0] = (20e-3 + this.bowl.capacityM3) / (m3PerKg[0] as number);
		this.circuit.bowlPa = atmospherePa;
		this.refresh();
		// Filled by hand before the first start, as the procedure asks.
		this.fillBowl();
	}

	/** To be called when the fuel's properties are new. */
	refresh(): void {
		const { fuel, kind, curve } = this;
		this.deadHeadPa = curve.deadHeadPa * slipShare(kind, fuel.dynamicPas / this.ratedPas);
		this.circuit.fill(fuel.liquid);
		this.line.refresh();
	}

	/** Every store there is, by name: their sum never changes. */
	get stores(): ReadonlyMap<string, Masses> {
		const { line, bowl, element, container, can, spill } = this;
		const { pocket } = this.pickUp;
		const stores = new Map<string, Masses>();
		for (const [name, { bulk, floor }] of this.tanks) {
			stores.set(name, bulk);
			stores.set(`${name}-floor`, floor);
		}
		stores.set("line", line.holds);
		stores.set("bowl", bowl.mixed);
		stores.set("sump", bowl.sump);
		stores.set("element", element.holds);
		for (const [name, masses] of Object.entries({ container, can, spill, pocket })) {
			stores.set(name, masses);
		}
		return stores;
	}

	/** Vacuum between bowl and element, kPa: the element's drop above the pump's inlet. */
	get bowlVacuumKpa(): number {
		return (this.atmospherePa - this.circuit.bowlPa) / 1e3;
	}

	/** True while the pump turns on air: bubbles in fuel still wet it. */
	get dry(): boolean {
		return this.pumpAirShare > DRY_SHARE;
	}

	/**
	 * @param powered whether the motor turns; `speed` 0 to 1 while it runs up and down
	 * @param surfaceM how far the sea lifts the surface over the tube, m
	 */
	step(dtS: number, powered: boolean, speed: number, voltsShare: number, surfaceM: number): void {
		const { circuit, bowl, mishaps, pickUp, tubeTank } = this;
		bowl.settle(dtS);
		if (tubeTank !== undefined) tubeTank.measure();
		pickUp.depthM = (tubeTank?.dipThen ?? 0) + surfaceM - pickUp.clearanceM;
		pickUp.meet(mishaps.tubeLifted || tubeTank === undefined);
		this.speed = speed;
		this.voltsShare = voltsShare;
		this.pose(powered);
		const open = speed > 0.01 || mishaps.siphon;
		circuit.solve(dtS, open && !mishaps.returnShut);
		this.pressure = circuit.bowlPa;
		this.outM3 = circuit.outM3s * dtS;
		this.inM3 = circuit.inM3s * dtS;
		this.deliver();
		this.draw();
		if (mishaps.leakM3sPerPa > 0) this.leak(dtS);
		this.even();
		this.measure();
		if (powered && this.dry) this.truth.dryPumpSeconds += dtS;
	}

	/** The circuit's conditions for this step. */
	private pose(powered: boolean): void {
		const { circuit, line, bowl, fuel, mishaps, curve, kind, atmospherePa } = this;
		const { speed, voltsShare, pickUp } = this;
		const weight = fuel.densityKgM3 * GRAVITY_MS2;
		const pressure = circuit.bowlPa;
		const above = atmospherePa + (this.tubeTank?.gaugePa ?? 0);
		circuit.footPa = above + (pickUp.airShare >= 1 ? 0 : weight * Math.max(0, pickUp.depthM));
		const endM = mishaps.returnOut ? BILGE_M : this.returnSurfaceM(powered);
		circuit.outletPa = atmospherePa + this.returnGaugePa() + weight * (endM - this.pumpM);
		const air = bowl.gasJ === 0 ? 0 : bowl.airAtOutlet(pressure);
		this.pumpAirShare = air;
		const head = this.deadHeadPa * deadHeadShare(kind, voltsShare) * mishaps.wornShare;
		const vacuum = atmospherePa - circuit.inletPa;
		const released = Math.max(0, vacuum - AIR_RELEASE_PA) * AIR_PER_PA;
		const free =
			(curve.freeFlowM3s * freeFlowShare(kind, voltsShare) * mishaps.wornShare * speed) /
			(1 + released);
		if (speed > 0.01) {
			circuit.headPa = head;
			circuit.slopePaPerM3s = head / Math.max(free, 1e-9);
		} else {
			circuit.headPa = 0;
			circuit.slopePaPerM3s = STOPPED_PA_PER_M3S;
		}
		const limit = curve.wetSuctionPa + air * (curve.drySuctionPa - curve.wetSuctionPa);
		circuit.inletPaMin = atmospherePa - limit;
		circuit.elementPaPerM3s = this.element.paPerM3s;
		circuit.footPaPerM3s = mishaps.tubeBlocked ? BLOCKED_PA_PER_M3S : 0;
		this.poseLine(pressure);
		circuit.gasJ = line.gasJ + bowl.gasJ;
		bowl.measure();
		circuit.roomM3 = line.capacityM3 + bowl.capacityM3 - line.liquidM3 - bowl.liquidM3;
	}

	private poseLine(pressure: number): void {
		const { circuit, line, tubeRiseM, hoseRiseM } = this;
		const whole = line.gasJ === 0;
		const inTube = whole ? Math.min(line.tubeM3, line.liquidM3) : line.liquidInTubeM3(pressure);
		const inHose = line.liquidM3 - inTube;
		const hoseM3 = line.capacityM3 - line.tubeM3;
		circuit.tubeShare = inTube / line.tubeM3;
		circuit.hoseShare = Math.min(1, inHose / hoseM3);
		circuit.columnM = tubeRiseM * circuit.tubeShare + hoseRiseM * circuit.hoseShare;
		circuit.columnMaxM = tubeRiseM + hoseRiseM;
		const fills = circuit.tubeShare < 1 - 1e-9 && this.pickUp.airShare < 1;
		circuit.columnMPerM3 = fills ? (tubeRiseM / line.tubeM3) * (1 - this.pickUp.airShare) : 0;
	}

	/** Height of the return's end or of the surface that covers it, m above the floor. */
	private returnSurfaceM(powered: boolean): number {
		const tank = this.returnTank;
		if (tank === undefined) return 0;
		// A running return fills its hose up to the filler; a siphon draws down to the surface.
		return powered ? this.pumpM : tank.dipM;
	}

	private returnGaugePa(): number {
		return this.mishaps.returnOut ? 0 : (this.returnTank?.gaugePa ?? 0);
	}

	/** Bowl to element to pump to wherever the return ends. */
	private deliver(): void {
		const { bowl, through, truth, fuel, outM3 } = this;
		const air = outM3 * this.pumpAirShare;
		this.pumpedAirM3 = air;
		if (air > 0) bowl.giveAir(air * this.pressure);
		if (outM3 <= 0) {
			this.pumpedM3 = 0;
			return;
		}
		bowl.drawM3 = outM3 - air;
		bowl.draw(through);
		const perKg = fuel.m3PerKg;
		truth.freeWaterPastBowlMl += (through[FREE] as number) * (perKg[FREE] as number) * 1e6;
		this.element.filter(through, bowl.sump);
		const dispersed = (through[COARSE] as number) + (through[FINE] as number);
		truth.dispersedWaterPastElementMl += dispersed * (perKg[FINE] as number) * 1e6;
		const volume = volumeM3(through, perKg);
		this.pumpedM3 = volume;
		truth.litresThroughPump += volume * LITRES;
		this.giveBack();
	}

	private giveBack(): void {
		const { through, truth, mishaps, spill, returnTank, pumpedM3: volume } = this;
		const lost = mishaps.returnOut || returnTank === undefined ? 1 : mishaps.lostShare;
		if (lost > 0) {
			moveShare(through, spill, lost);
			truth.litresSpilled += volume * lost * LITRES;
			this.trayLitres += volume * mishaps.lostShare * LITRES;
		}
		if (returnTank === undefined || lost >= 1) return;
		returnTank.receive(through, volume * (1 - lost));
		truth.litresReturned += volume * (1 - lost) * LITRES;
		const over = returnTank.overM3;
		if (over <= 0) return;
		// A full tank runs over through its vent, and what runs over is what floats.
		const share = Math.min(1, over / returnTank.bulkM3);
		moveShare(returnTank.bulk, spill, share);
		truth.litresSpilled += over * LITRES;
	}

	/** Tank to tube, or back into it. */
	private draw(): void {
		const { line, drawn, pickUp, pressure, inM3: moved, tubeTank: source } = this;
		// What is left of rounding at rest.
		if (Math.abs(moved) < TRACE_M3) return;
		if (moved < 0) {
			line.popTail(-moved, pressure, drawn);
			if (source === undefined) moveAll(drawn, this.spill);
			else source.receive(drawn, -moved);
			return;
		}
		pickUp.wantM3 = moved;
		pickUp.gotM3 = 0;
		if (source !== undefined) pickUp.draw(source, drawn);
		line.pushTail(drawn, pickUp.gotM3, Math.max(0, moved - pickUp.gotM3) * pressure);
	}

	private leak(dtS: number): void {
		const { leakM3sPerPa } = this.mishaps;
		const vacuum = this.atmospherePa - this.pressure;
		if (vacuum <= 0) return;
		this.bowl.gasJ += leakM3sPerPa * vacuum * dtS * this.atmospherePa;
	}

	/** What the line has too much goes on into the bowl; what it lacks comes back, air first. */
	private even(): void {
		const { line, bowl, drawn, pressure } = this;
		const over = line.volumeM3(pressure) - line.capacityM3;
		if (over > TRACE_M3) {
			bowl.gasJ += line.popHead(over, pressure, bowl.mixed);
		} else if (over < -TRACE_M3) {
			const air = Math.min(-over, bowl.gasJ / pressure);
			bowl.giveAir(air * pressure);
			const liquid = -over - air;
			bowl.drawM3 = liquid;
			if (liquid > 0) bowl.draw(drawn);
			line.pushHead(drawn, volumeM3(drawn, this.fuel.m3PerKg), air * pressure);
		}
	}

	private measure(): void {
		const { circuit, atmospherePa } = this;
		this.vacuumKpa = (atmospherePa - circuit.inletPa) / 1e3;
		if (this.mishaps.returnShut) {
			const out = Math.min(circuit.headPa, this.bypassPa);
			this.dischargeKpa = out / 1e3;
			this.headShare = circuit.headPa > 0 ? out / circuit.headPa : 0;
			return;
		}
		const out = circuit.outletPa + circuit.returns.dropPa;
		this.dischargeKpa = (out - atmospherePa) / 1e3;
		this.headShare = circuit.headPa > 0 ? (out - circuit.inletPa) / circuit.headPa : 0;
	}

	/** The crew opens the drain: settled water and a little fuel go into the container. */
	drainBowl(): number {
		const { bowl, container, fuel } = this;
		const waterMl = bowl.sumpWaterM3 * 1e6;
		moveShare(bowl.sump, container, 1);
		const share = 1e-4 / volumeM3(bowl.mixed, fuel.m3PerKg);
		moveShare(bowl.mixed, container, Math.min(1, Math.max(0, share)));
		this.ventBowl();
		return waterMl;
	}

	/** The crew refills the bowl from the can. */
	fillBowl(): void {
		const { bowl, can, fuel } = this;
		bowl.measure();
		const room = Math.max(0, bowl.capacityM3 - bowl.liquidM3);
		const all = volumeM3(can, fuel.m3PerKg);
		if (all > 0) moveShare(can, bowl.mixed, Math.min(1, room / all));
		this.ventBowl();
	}

	/** The bowl's vent is open and the suction valve shut: what is not liquid is air. */
	private ventBowl(): void {
		const { bowl, circuit, atmospherePa } = this;
		bowl.measure();
		const air = Math.max(0, bowl.capacityM3 - bowl.liquidM3);
		bowl.gasJ = air < 1e-9 ? 0 : air * atmospherePa;
		// The line behind the valve keeps what it has, at the pressure that it takes once it opens.
		if (bowl.gasJ > 0) circuit.bowlPa = atmospherePa;
	}
}
