// The practice page: read the song, show it, listen to keys.

import { Desk } from "./desk.js";
import { listen } from "./keys.js";
import { readScore } from "./score.js";
import { View } from "./view.js";

const desk = new Desk(readScore());
new View(desk).start();
listen(desk);
Object.defineProperty(globalThis, "practice", { get: () => desk.player });
