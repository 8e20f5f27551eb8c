// The way of the fuel: tank, pick-up, tube and hose, bowl, element, pump, return. Each step solves
// the circuit for its flows and then moves masses from store to store. Gas in the suction side is
// part of it: priming, loss of prime and gulps of air come out, none of them is a switch.

import type { Rig } from "../firmware/config/rig.ts";
import { Bowl, Element } from "./filter.ts";
import type { Fuel } from "./fuel.ts";
import { noMishaps } from "./mishaps.ts";
import { nothingYet } from "./path-truth.ts";
import * as circuits from "./physics/circuit.ts";
import { NOUGHT, ONE } from "./physics/fraction.ts";
import {
	deadHeadShare,
	freeFlowShare,
	type PumpCurve,
	type PumpKindRow,
	slipShare,
} from "./physics/pump.ts";
import * as steadyPoint from "./physics/steady-point.ts";
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
import type { Masses } from "./species.ts";
import * as species from "./species.ts";
import { SuctionLine } from "./suction-line.ts";
import type { Tank } from "./tank.ts";

// As constants of this module: see species.ts.
const { COARSE, FINE, FREE, moveAll, moveShare, noMasses, volumeM3 } = species;
const { AIR_RELEASE_PA, AIR_PER_PA } = steadyPoint;
const { Circuit, GRAVITY_MS2 } = circuits;

/** What a stopped pump takes of a siphon's head, Pa s/m³: 0.1 L/min at 5 kPa (invented). */
const STOPPED_PA_PER_M3S = 3e9;
/** What a wall or sludge before the tube takes, Pa s/m³: 40 kPa at 95 L/h (invented). */
const BLOCKED_PA_PER_M3S = 1.5e9;
/** Where a return that has fallen out of its filler ends, m above the tank's floor: the bilge. */
const BILGE_M = -0.2;
/** Air in what the pump moves from which it runs dry (invented). */
const DRY_SHARE = 0.9;
/** A cube of ten micrometres: no flow. */
const TRACE_M3 = 1e-15;
const LITRES = 1e3;
/** What is on its way within a step, through the pump and out of line or bowl; then empty. */
const through: Masses = noMasses();
const drawn: Masses = noMasses();

export class FuelPath {
	readonly tanks: ReadonlyMap<string, Tank>;
	readonly line: SuctionLine;
	readonly bowl: Bowl;
	readonly element: Element;
	readonly circuit: circuits.Circuit;
	readonly mishaps = noMishaps();
	/** Where the crew drains to, and the can they refill the bowl from. */
	readonly container: Masses = noMasses();
	readonly can: Masses = noMasses();
	readonly spill: Masses = noMasses();
	/** What the return gave into a measuring can, and its volume as its marks say, L. */
	readonly measured: Masses = noMasses();
	measuredLitres = NOUGHT;
	readonly pickUp: PickUp;
	tubeTank: Tank | undefined;
	returnTank: Tank | undefined;
	atmospherePa: number;
	/** Vacuum at the pump's inlet, and pressure at its outlet, kPa. */
	vacuumKpa = NOUGHT;
	dischargeKpa = NOUGHT;
	/** Of what was spilled, that which ran into the tray, L. */
	trayLitres = NOUGHT;
	/** Share of air in what the pump moves, and of its dead head that it works against. */
	pumpAirShare = NOUGHT;
	headShare = NOUGHT;
	/** Volume through the pump's outlet in the last step, liquid and air, m³. */
	pumpedM3 = NOUGHT;
	pumpedAirM3 = NOUGHT;
	readonly truth = nothingYet();

	private readonly fuel: Fuel;
	private readonly kind: PumpKindRow;
	private readonly curve: PumpCurve;
	private readonly ratedPas: number;
	/** At the fuel's present viscosity. */
	private deadHeadPa = NOUGHT;
	private readonly bypassPa: number;
	private readonly pumpM: number;
	private readonly tubeRiseM: number;
	private readonly hoseRiseM: number;
	/** Set before each step: the motor's speed and volts as shares of the rated ones. */
	speed = NOUGHT;
	voltsShare = ONE;
	/** The same: how far the sea lifts the surface over the tube, m. */
	surfaceM = NOUGHT;

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
		this.circuit.columnMaxM = rise;
		const { m3PerKg } = fuel;
		const [tubeM3, hoseM3] = [this.circuit.tube.volumeM3, this.circuit.hose.volumeM3];
		this.line = new SuctionLine(tubeM3, hoseM3, m3PerKg, atmospherePa);
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
		this.bowl.refresh();
		this.element.refresh();
	}

	/** Every store there is, by name: their sum never changes. */
	get stores(): ReadonlyMap<string, Masses> {
		const { line, bowl, element, container, can, spill, measured } = this;
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
		for (const [name, masses] of Object.entries({ container, can, spill, measured, pocket })) {
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

	/** @param powered whether the motor turns; `speed` is 0 to 1 while it runs up and down */
	step(dtS: number, powered: boolean): void {
		const { circuit, bowl, mishaps, pickUp, tubeTank, speed, surfaceM } = this;
		bowl.settle(dtS);
		if (tubeTank !== undefined) tubeTank.measure();
		const dipM = tubeTank === undefined ? 0 : tubeTank.dipThen;
		pickUp.depthM = dipM + surfaceM - pickUp.clearanceM;
		pickUp.meet(mishaps.tubeLifted === true || tubeTank === undefined);
		this.pose(powered);
		const open = speed > 0.01 || mishaps.siphon === true;
		circuit.solve(dtS, open && mishaps.returnShut === false);
		this.line.pressurePa = circuit.bowlPa;
		this.deliver(circuit.outM3s * dtS);
		this.draw(circuit.inM3s * dtS);
		const { atmospherePa } = this;
		if (mishaps.leakM3sPerPa > 0) {
			const vacuumPa = Math.max(0, atmospherePa - circuit.bowlPa);
			bowl.gasJ += mishaps.leakM3sPerPa * vacuumPa * dtS * atmospherePa;
		}
		this.even();
		this.vacuumKpa = (atmospherePa - circuit.inletPa) / 1e3;
		let outPa = circuit.outletPa + circuit.returnPa;
		let risePa = outPa - circuit.inletPa;
		if (mishaps.returnShut === true) {
			risePa = Math.min(circuit.headPa, this.bypassPa);
			outPa = atmospherePa + risePa;
		}
		this.dischargeKpa = (outPa - atmospherePa) / 1e3;
		this.headShare = circuit.headPa > 0 ? risePa / circuit.headPa : 0;
		if (powered === true && this.dry) this.truth.dryPumpSeconds += dtS;
	}

	/** The circuit's conditions for this step. */
	private pose(powered: boolean): void {
		const { circuit, line, bowl, element, fuel, mishaps, curve, kind, atmospherePa } = this;
		const { speed, voltsShare, pickUp } = this;
		const weight = fuel.densityKgM3 * GRAVITY_MS2;
		const pressure = circuit.bowlPa;
		line.pressurePa = pressure;
		const above = this.tubeTank === undefined ? atmospherePa : atmospherePa + this.tubeTank.gaugePa;
		circuit.footPa = above + (pickUp.airShare >= 1 ? 0 : weight * Math.max(0, pickUp.depthM));
		this.poseReturn(powered, weight);
		const air = bowl.gasJ === 0 ? 0 : bowl.airAtOutlet(pressure);
		this.pumpAirShare = air;
		const head = this.deadHeadPa * deadHeadShare(kind, voltsShare) * mishaps.wornShare;
		const beyondPa = atmospherePa - circuit.inletPa - AIR_RELEASE_PA;
		const released = beyondPa > 0 ? beyondPa * AIR_PER_PA : 0;
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
		circuit.elementPaPerM3s = element.paPerM3s;
		circuit.footPaPerM3s =
			mishaps.tubeBlocked === true ? BLOCKED_PA_PER_M3S : mishaps.suctionPaPerM3s;
		this.poseLine();
		circuit.gasJ = line.gasJ + bowl.gasJ;
		bowl.measure();
		circuit.roomM3 = line.capacityM3 + bowl.capacityM3 - line.liquidM3 - bowl.liquidM3;
	}

	private poseLine(): void {
		const { circuit, line, tubeRiseM, pickUp } = this;
		const { tubeM3, liquidM3 } = line;
		const inTube = line.gasJ > 0 ? line.liquidInTubeM3() : Math.min(tubeM3, liquidM3);
		const tubeShare = inTube / tubeM3;
		circuit.tubeShare = tubeShare;
		circuit.hoseShare = Math.min(1, (liquidM3 - inTube) / line.hoseM3);
		circuit.columnM = tubeRiseM * tubeShare + this.hoseRiseM * circuit.hoseShare;
		circuit.columnMPerM3 = 0;
		if (tubeShare < 1 - 1e-9) circuit.columnMPerM3 = (tubeRiseM / tubeM3) * (1 - pickUp.airShare);
	}

	/** Pressure at the return's end, or under the surface that covers it, brought to the pump. */
	private poseReturn(powered: boolean, weightPaPerM: number): void {
		const { circuit, returnTank: tank, pumpM } = this;
		const { returnOut } = this.mishaps;
		circuit.outletPa = this.atmospherePa;
		if (returnOut === true || tank === undefined) {
			circuit.outletPa += weightPaPerM * ((returnOut === true ? BILGE_M : 0) - pumpM);
			return;
		}
		circuit.outletPa += tank.gaugePa;
		// A running return fills its hose up to the filler; a siphon draws down to the surface.
		if (powered === true) return;
		if (tank !== this.tubeTank) tank.measure();
		circuit.outletPa += weightPaPerM * (tank.dipThen - pumpM);
	}

	/** Bowl to element to pump to wherever the return ends. */
	private deliver(outM3: number): void {
		const { bowl, element, truth } = this;
		const { m3PerKg } = this.fuel;
		const air = outM3 * this.pumpAirShare;
		this.pumpedAirM3 = air;
		this.pumpedM3 = 0;
		if (air > 0) bowl.giveAir(air * this.circuit.bowlPa);
		if (outM3 <= 0) return;
		bowl.draw(outM3 - air, through);
		truth.freeWaterPastBowlMl += (through[FREE] as number) * (m3PerKg[FREE] as number) * 1e6;
		element.filter(through, bowl.sump);
		const dispersed = (through[COARSE] as number) + (through[FINE] as number);
		truth.dispersedWaterPastElementMl += dispersed * (m3PerKg[FINE] as number) * 1e6;
		const pumpedM3 = volumeM3(through, m3PerKg);
		this.pumpedM3 = pumpedM3;
		truth.litresThroughPump += pumpedM3 * LITRES;
		this.giveBack();
	}

	private giveBack(): void {
		const { truth, returnTank } = this;
		const { returnOut, lostShare } = this.mishaps;
		const lost = returnOut === true || returnTank === undefined ? 1 : lostShare;
		if (lost > 0) this.lose(lost);
		if (returnTank === undefined || lost >= 1) return;
		const returnedM3 = this.pumpedM3 * (1 - lost);
		if (this.mishaps.intoCan === true) {
			this.measuredLitres += returnedM3 * LITRES;
			moveAll(through, this.measured);
			return;
		}
		truth.litresReturned += returnedM3 * LITRES;
		returnTank.roomM3 -= returnedM3;
		returnTank.receive(through);
		if (returnTank.roomM3 <= 0) this.runOver(returnTank);
	}

	/** A share of what was pumped never gets to the return. */
	private lose(share: number): void {
		moveShare(through, this.spill, share);
		this.truth.litresSpilled += this.pumpedM3 * share * LITRES;
		this.trayLitres += this.pumpedM3 * this.mishaps.lostShare * LITRES;
	}

	/** A full tank runs over through its vent, and what runs over is what floats. */
	private runOver(tank: Tank): void {
		const over = tank.overM3;
		if (over <= 0) return;
		moveShare(tank.bulk, this.spill, Math.min(1, over / tank.bulkM3));
		this.truth.litresSpilled += over * LITRES;
	}

	/** Tank to tube, or back into it. */
	private draw(moved: number): void {
		const { line, pickUp, tubeTank: source } = this;
		// What is left of rounding at rest.
		if (Math.abs(moved) < TRACE_M3) return;
		if (moved < 0) {
			line.movedM3 = -moved;
			line.popTail(drawn);
			if (source === undefined) moveAll(drawn, this.spill);
			else {
				source.roomM3 += moved;
				source.receive(drawn);
			}
			return;
		}
		pickUp.wantM3 = moved;
		pickUp.gotM3 = 0;
		const tail = line.openTail();
		if (source !== undefined) pickUp.draw(source, tail);
		const air = moved - pickUp.gotM3;
		line.movedM3 = pickUp.gotM3;
		line.movedJ = air > 0 ? air * this.circuit.bowlPa : 0;
		line.grow();
	}

	/** What the line has too much goes on into the bowl; what it lacks comes back, air first. */
	private even(): void {
		const { line, bowl } = this;
		const over = line.volumeM3() - line.capacityM3;
		if (over > TRACE_M3) {
			line.movedM3 = over;
			line.popHead(bowl.mixed);
			bowl.gasJ += line.movedJ;
		} else if (over < -TRACE_M3) {
			const pressure = this.circuit.bowlPa;
			const air = Math.min(-over, bowl.gasJ / pressure);
			bowl.giveAir(air * pressure);
			const liquid = -over - air;
			if (liquid > 0) bowl.draw(liquid, drawn);
			line.movedM3 = volumeM3(drawn, this.fuel.m3PerKg);
			line.movedJ = air * pressure;
			line.pushHead(drawn);
		}
	}

	/** The crew opens the drain: settled water and a little fuel go into the container. */
	drainBowl(): number {
		const { bowl, container, fuel } = this;
		const waterMl = bowl.sumpWaterM3 * 1e6;
		moveAll(bowl.sump, container);
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
