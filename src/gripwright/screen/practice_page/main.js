// The practice page: read the song, show it, listen to keys.

import { listen } from "./keys.js";
import { Player } from "./player.js";
import { readScore } from "./score.js";
import { View } from "./view.js";

const player = new Player(readScore());
new View(player).start();
listen(player);
Object.assign(globalThis, { practice: player });
