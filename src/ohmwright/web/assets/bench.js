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
