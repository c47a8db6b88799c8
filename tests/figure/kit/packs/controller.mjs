// A controller for the kit's tests: MicroPython with the pack on its card, and files of the tests.
import { readFileSync, readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";

export async function controller(micropython, pack, sources) {
  const { loadMicroPython } = await import(pathToFileURL(micropython).href);
  const python = await loadMicroPython({ stdout: (line) => console.log(line) });

  function copy(from, to) {
    python.FS.mkdir(to);
    for (const entry of readdirSync(from, { withFileTypes: true })) {
      const [here, there] = [join(from, entry.name), `${to}/${entry.name}`];
      if (entry.isDirectory()) copy(here, there);
      else python.FS.writeFile(there, readFileSync(here));
    }
  }

  copy(pack, "/sd");
  for (const source of sources) python.FS.writeFile("/" + basename(source), readFileSync(source));
  python.runPython('import sys; sys.path.append("/"); sys.path.append("/sd/KIT")');
  return python;
}
