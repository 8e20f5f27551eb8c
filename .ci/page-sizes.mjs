// The end of `npm run build`: prints how much script each page loads.

import { join } from "node:path";
import { pageSizeLines, pageSizes } from "../.build/host/report/page-sizes.js";
import { root } from "./prepare.mjs";

console.log(pageSizeLines(pageSizes(join(root, ".build/web"))).join("\n"));
