// What happens when an order begins, is refused or ends: what is told, and what is forgotten. The
// statechart's actions call this; it changes nothing by itself.

import { orderContext } from "./chart-parts.ts";
import { type CycleContext, goOnBlockers } from "./context.ts";
import type { Outcome } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import { waitsFor } from "./holds.ts";
import type { Enqueue } from "./opening.ts";
import { type Order, waitsOf } from "./orders.ts";

export function beginOrder(enqueue: Enqueue, order: Order): void {
	enqueue.assign({
		order,
		startReason: "ordered",
		workedMs: 0,
		primeTry: 0,
		heldFor: [],
		resumedMs: [],
		dryBursts: 0,
		burstProven: false,
	});
	enqueue.emit({ type: "run-begin", order });
}

export function refuseOrder(enqueue: Enqueue, event: Extract<CycleEvent, { type: "order" }>): void {
	const { order, present } = event;
	const blockers = goOnBlockers(orderContext(event), present);
	const now = [...blockers, ...waitsFor(waitsOf(order, present))];
	const reasons = now.length > 0 ? now : ["the controller is busy or tripped by now"];
	enqueue.emit({ type: "order-refused", id: order.id, reasons });
}

export function endOrder(
	enqueue: Enqueue,
	context: CycleContext,
	outcome: Outcome,
	event: CycleEvent,
): void {
	if (context.order === null) return;
	const reasons =
		event.type === "start-durable"
			? goOnBlockers(context, event.present)
			: event.type === "permits-lost"
				? event.reasons
				: [];
	enqueue.emit({ type: "run-end", outcome, reasons });
	enqueue.assign({ order: null });
}
