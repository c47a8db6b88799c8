// A day on the controller under MicroPython:
// node day_on_the_board.mjs MICROPYTHON HEAP PACK SCRIPT DIALLED SOURCE
import { readFileSync, readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";

const [micropython, heap, pack, script, dialled, source] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(micropython).href);
const python = await loadMicroPython({ heapsize: Number(heap), stdout: (line) => console.log(line) });

function copy(from, to) {
  for (const entry of readdirSync(from, { withFileTypes: true })) {
    const [here, there] = [join(from, entry.name), `${to}/${entry.name}`];
    if (entry.isDirectory()) {
      python.FS.mkdir(there);
      copy(here, there);
    } else {
      python.FS.writeFile(there, readFileSync(here));
    }
  }
}

python.FS.mkdir("/sd");
copy(pack, "/sd");
python.FS.writeFile("/" + basename(source), readFileSync(source));
python.runPython(`
import sys
sys.path.append("/")
sys.path.append("/sd/KIT")
import gc
import day_on_the_board
played = day_on_the_board.Played("/sd/", "${dialled}", print)
`);
// MicroPython gives memory back here only between two calls; so a day is played line by line.
let most = 0;
for (const line of readFileSync(script, "utf-8").trim().split("\n")) {
  python.runPython(`played.line("${line}")`);
  python.runPython("gc.collect()");
  python.runPython("in_use = gc.mem_alloc()");
  most = Math.max(most, python.globals.get("in_use"));
}
console.log("memory " + most);
