// By which names this server may be addressed. A foreign page can have its own name lead to this
// computer (DNS rebinding); its requests then carry that name, and are not for us. Pure.

import { isIP } from "node:net";

const OWN = ["localhost", "127.0.0.1", "::1"];

export class HostNames {
	private readonly names: ReadonlySet<string>;

	/** @param more names that the user has said */
	constructor(more: readonly string[]) {
		this.names = new Set([...OWN, ...more.map(bareName)]);
	}

	/**
	 * @param host as the request has it, with or without a port
	 * @param localAddress at which the request came in: who types it means this computer
	 */
	areOurs(host: string, localAddress: string | undefined): boolean {
		const name = bareName(host);
		if (this.names.has(name)) return true;
		return isIP(name) !== 0 && localAddress !== undefined && name === bareAddress(localAddress);
	}
}

/** Without port and brackets, in small letters. */
function bareName(host: string): string {
	const found = /^(?:\[([^\]]*)\]|([^:]*))(?::\d{1,5})?$/.exec(host);
	return (found?.[1] ?? found?.[2] ?? host).toLowerCase();
}

/** An IPv4 address on a socket for both, and one with its interface, as a browser has them. */
const bareAddress = (address: string): string =>
	address.replace(/^::ffff:(?=\d+\.)/, "").replace(/%.*$/, "");
