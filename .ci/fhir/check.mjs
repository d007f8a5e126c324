// Reads FHIR R4 resources, one a file, and prints for each its errors by the npm package fhir: the base resources, their
// required elements and their value sets. Profiles are not its business; Go tests assert theirs.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const { Fhir } = createRequire(import.meta.url)(process.env.ISOCUE_FHIR + "/node_modules/fhir");
const fhir = new Fhir();
let failed = 0;
const errors = (resource) => {
  const found = fhir.validate(resource, { errorOnUnexpected: true }).messages.filter((m) => m.severity === "error" || m.severity === "fatal");
  return found.map((m) => `${m.location || m.resourceId}: ${m.message}`);
};
for (const name of process.argv.slice(2)) {
  const resource = JSON.parse(readFileSync(name, "utf8"));
  const found = errors(resource);
  // and each resource of a Bundle by itself, since a validator may look no deeper
  for (const e of resource.entry || []) found.push(...errors(e.resource));
  failed += found.length > 0;
  console.log(`${name}: ${found.length} errors`);
  for (const m of found.slice(0, 5)) console.log("  " + m);
}
process.exit(failed ? 1 : 0);
