// `npm run docs`: writes the generated tables of README, DEVELOPERS.md, the link's page and the
// scenarios' page, the scenarios' JSON Schema, the pages of the hazard analysis and of
// commissioning, the README's picture of a run, the guide's sections, sheets, tables and parts of
// the wiring, the dead-man's table and course (by ngspice), anew from the built code.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { build, root } from "./prepare.mjs";

build();
const { guideSections } = await import("../.build/host/report/guide-sections.js");
const { setpointTable, tripTable, withSection } = await import("../.build/host/report/tables.js");
const { readHazards } = await import("../.build/host/report/hazards.js");
const { readSensorFaults, undetectedIn } = await import("../.build/host/report/sensor-faults.js");
const { hazardPage } = await import("../.build/host/report/hazard-page.js");
const { commissionPage } = await import("../.build/host/report/commission-page.js");
const { linkSections } = await import("../.build/host/report/link-page.js");
const scenarioPage = await import("../.build/host/report/scenario-page.js");
const { picture, shippedPicture } = await import("../.build/host/report/shipped-picture.js");
const { loadParts, loadWiring, wiringFiles } = await import("../.build/host/wiring/wiring-set.js");
const { coverageRows } = await import("../.build/firmware/cycle/coverage.js");
const { FIGURES_FILE, figuresSchema, figuresTable } = await import(
	"../.build/test/bench/kept-figures.js"
);

const rewrite = (file, name, text) => {
	const path = join(root, file);
	writeFileSync(path, withSection(readFileSync(path, "utf8"), name, text));
};
rewrite("README.md", "trips", tripTable());
rewrite("DEVELOPERS.md", "setpoints", setpointTable());
const figures = figuresSchema.parse(JSON.parse(readFileSync(join(root, FIGURES_FILE), "utf8")));
rewrite("DEVELOPERS.md", "figures", figuresTable(figures));
for (const [name, text] of Object.entries(linkSections())) {
	rewrite("firmware/link/PROTOCOL.md", name, text);
}
const walk = readFileSync(join(root, scenarioPage.WALK_FILE), "utf8");
for (const [name, text] of Object.entries(scenarioPage.scenarioSections(walk))) {
	rewrite("sim/bench/SCENARIOS.md", name, text);
}
writeFileSync(join(root, "sim/bench/scenario.schema.json"), scenarioPage.scenarioJsonSchema());

const readBy = (reader, source) => reader(readFileSync(join(root, source), "utf8"), source);
const { hazards } = readBy(readHazards, "hardware/hazards.yaml");
const undetected = undetectedIn(readBy(readSensorFaults, "hardware/sensor-faults.yaml"));
for (const [file, sections] of Object.entries(guideSections({ hazards, undetected }))) {
	for (const [name, text] of Object.entries(sections)) rewrite(file, name, text);
}
const page = hazardPage({
	file: readBy(readHazards, "hardware/hazards.yaml"),
	coverage: coverageRows,
	undetected: undetectedIn(readBy(readSensorFaults, "hardware/sensor-faults.yaml")),
});
writeFileSync(join(root, "hardware/HAZARDS.md"), page);
writeFileSync(join(root, "hardware/COMMISSIONING.md"), commissionPage());
writeFileSync(join(root, shippedPicture), picture(root));

const wiring = loadWiring(root);
for (const [file, text] of wiringFiles(wiring, loadParts(root, wiring))) {
	writeFileSync(join(root, file), text);
}
const { deadManPlot } = await import("../.build/test/hardware/dead-man-plot.js");
const { partsTable } = await import("../.build/test/hardware/dead-man-page.js");
rewrite("hardware/dead-man/README.md", "parts", partsTable());
writeFileSync(join(root, "hardware/dead-man/course.svg"), deadManPlot());
