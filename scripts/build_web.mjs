// Bundles the scripts, the style sheet and the typefaces of the bench into src/ohmwright/web/static.
import { execFileSync } from "node:child_process";
import { rmSync } from "node:fs";
import { build } from "esbuild";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const assets = join(root, "src/ohmwright/web/assets");
const out = join(root, "src/ohmwright/web/static");

// Faces are named by what is in them, so those of an earlier build would stay for ever.
rmSync(join(out, "type"), { recursive: true, force: true });
execFileSync(join(root, ".venv/bin/python"), [join(root, "scripts/small_types.py"), join(root, "node_modules/ohmwright-types")]);

await build({
  absWorkingDir: root,
  entryPoints: [join(assets, "bench.js"), join(assets, "bench.css")],
  outdir: out,
  bundle: true,
  minify: true,
  format: "iife",
  target: ["es2020"],
  legalComments: "linked",
  loader: { ".woff": "file", ".woff2": "file" },
  assetNames: "type/[name]-[hash]",
  nodePaths: [join(root, "node_modules")],
  logLevel: "warning",
});
