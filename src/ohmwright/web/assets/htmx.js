import htmx from "htmx.org";

export default htmx;
