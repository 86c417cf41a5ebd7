import "./htmx.js";
import { choosing } from "./choosing.js";
import { editing } from "./editing.js";
import { beats } from "./beats.js";

choosing();
editing();
beats();
