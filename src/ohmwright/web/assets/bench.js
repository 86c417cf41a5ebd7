import "./htmx.js";
import { choosing } from "./choosing.js";
import { editing } from "./editing.js";
import { bays } from "./bays.js";
import { beats } from "./beats.js";
import { roof } from "./roof.js";
import { sending } from "./sending.js";
import { strips } from "./strips.js";
import { wiring } from "./wiring.js";

wiring();
choosing();
editing();
sending();
beats();
roof();
bays();
strips();

// On a narrow screen the line of sheet names opens at the sheet that lies here.
const here = document.querySelector(".names [aria-current]");
if (here) here.closest("ul").scrollLeft = here.offsetLeft - 60;
