// The module that world-plugin.mjs makes when the pages are built.

declare module "virtual:bench-world" {
	export const world: import("./world.ts").BenchWorld;
}
