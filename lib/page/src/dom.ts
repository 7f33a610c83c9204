// Elements made in one line. Text is only ever set as text.

type Child = Node | string | undefined | false;
type Attributes = Record<string, string | number | boolean | undefined>;

function fill<E extends Element>(made: E, attributes: Attributes, children: Child[]): E {
    for (const [name, value] of Object.entries(attributes)) {
        if (value !== undefined && value !== false) {
            made.setAttribute(name, value === true ? "" : String(value));
        }
    }
    for (const child of children) {
        if (child !== undefined && child !== false) {
            made.append(child);
        }
    }
    return made;
}

export function el<K extends keyof HTMLElementTagNameMap>(
    tag: K,
    attributes: Attributes = {},
    ...children: Child[]
): HTMLElementTagNameMap[K] {
    return fill(document.createElement(tag), attributes, children);
}

export function svg<K extends keyof SVGElementTagNameMap>(
    tag: K,
    attributes: Attributes = {},
    ...children: Child[]
): SVGElementTagNameMap[K] {
    return fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

export function button(text: string, press: () => void, attributes: Attributes = {}): HTMLElement {
    const made = el("button", { type: "button", ...attributes }, text);
    made.addEventListener("click", press);
    return made;
}

/** Tells a screen reader, and nobody else. */
export function say(text: string): void {
    const said = document.getElementById("said");
    if (said) {
        said.textContent = text;
    }
}
