import "./htmx.js";
import { choosing } from "./choosing.js";
import { editing } from "./editing.js";
import { beats } from "./beats.js";
import { roof } from "./roof.js";

choosing();
editing();
beats();
roof();
