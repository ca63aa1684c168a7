import type { VNode } from "./preact.js";
type Tag = (strings: TemplateStringsArray, ...values: unknown[]) => VNode;
declare const htm: { bind(h: unknown): Tag };
export default htm;
