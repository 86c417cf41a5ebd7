// Bundles the scripts, the style sheet and the typefaces of the bench into src/ohmwright/web/static.
import { build } from "esbuild";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const assets = join(root, "src/ohmwright/web/assets");
const out = join(root, "src/ohmwright/web/static");

await build({
  absWorkingDir: root,
  entryPoints: [join(assets, "bench.js"), join(assets, "bench.css")],
  outdir: out,
  bundle: true,
  minify: true,
  format: "iife",
  target: ["es2020"],
  legalComments: "linked",
  loader: { ".woff2": "file" },
  assetNames: "type/[name]",
  nodePaths: [join(root, "node_modules")],
  logLevel: "warning",
});
