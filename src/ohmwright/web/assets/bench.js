import "./htmx.js";
import { choosing } from "./choosing.js";
import { editing } from "./editing.js";
import { beats } from "./beats.js";
import { roof } from "./roof.js";
import { strips } from "./strips.js";
import { wiring } from "./wiring.js";

wiring();
choosing();
editing();
beats();
roof();
strips();

// On a narrow screen the line of sheet names opens at the sheet that lies here.
const here = document.querySelector(".names [aria-current]");
if (here) here.closest("ul").scrollLeft = here.offsetLeft - 60;
