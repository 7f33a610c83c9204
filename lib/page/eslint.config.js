import js from "@eslint/js";
import types from "typescript-eslint";

export default types.config(
    { ignores: ["node_modules"] },
    {
        files: ["src/**/*.ts"],
        extends: [js.configs.recommended, ...types.configs.strict, ...types.configs.stylistic],
        rules: {
            "@typescript-eslint/consistent-type-definitions": "off",
            "no-restricted-properties": [
                "error",
                ...["innerHTML", "outerHTML", "insertAdjacentHTML", "write"].map((property) => ({
                    property,
                    message: "Text is only ever set as text.",
                })),
            ],
            "max-lines-per-function": ["error", { max: 60, skipComments: true }],
        },
    },
);
