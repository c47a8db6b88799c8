// A day on the controller under MicroPython:
// node day_on_the_board.mjs MICROPYTHON PACK SCRIPT DIALLED SOURCE
import { readFileSync } from "node:fs";
import { controller } from "./controller.mjs";

const [micropython, pack, script, dialled, source] = process.argv.slice(2);
const python = await controller(micropython, pack, [source]);
python.runPython(`
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
