export type VNode = object | string | number | null | undefined | boolean | VNode[];
export function h(type: unknown, props: unknown, ...children: unknown[]): VNode;
export function render(node: VNode, parent: Element): void;
export const Fragment: unknown;
