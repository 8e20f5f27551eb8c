// The module that world-plugin.mjs makes when the pages are built. Nothing of it is read at run
// time but by the bench's thread.

declare module "virtual:bench-world" {
	export const world: import("./world.ts").BenchWorld;
}
