// The whole program of the board, with a stand-in for its pins:
// node board_awake.mjs MICROPYTHON PACK MACHINE SOURCE
import { controller } from "./controller.mjs";

const [micropython, pack, ...sources] = process.argv.slice(2);
const python = await controller(micropython, pack, sources);
python.runPython("import board_awake");
