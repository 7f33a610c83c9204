// The three signs of what a finding asks, told apart by shape before colour.
import { Asks } from "./data";
import { svg } from "./dom";

export const asksNames: Record<Asks, string> = {
    reject: "Reject",
    query: "Query",
    notice: "Notice",
};

/** The graver first. */
export const weight: Record<Asks, number> = { reject: 0, query: 1, notice: 2 };

/** A filled diamond, a ring, a square in outline. */
export function mark(asks: Asks): SVGSVGElement {
    const shape =
        asks === "reject"
            ? svg("path", { d: "M8 1 15 8 8 15 1 8Z" })
            : asks === "query"
              ? svg("circle", { cx: 8, cy: 8, r: 5.6 })
              : svg("rect", { x: 3, y: 3, width: 10, height: 10 });
    return svg(
        "svg",
        { class: `mark ${asks}`, viewBox: "0 0 16 16", width: 14, height: 14, "aria-hidden": "true" },
        shape,
    );
}
