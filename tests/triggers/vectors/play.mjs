// Play a script to the kit's decoders under MicroPython: node play.mjs MICROPYTHON SCRIPT FILE...
import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { pathToFileURL } from "node:url";

const [micropython, script, ...sources] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(micropython).href);
const python = await loadMicroPython({ heapsize: 8 * 1024 * 1024, stdout: (line) => console.log(line) });
for (const source of sources) {
  python.FS.writeFile("/" + basename(source), readFileSync(source));
}
python.FS.writeFile("/script", readFileSync(script));
python.runPython("import sys; sys.path.append('/')\nimport play\nplay.play(open('/script'), print)");
