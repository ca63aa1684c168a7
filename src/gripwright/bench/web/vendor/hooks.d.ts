export function useEffect(effect: () => void | (() => void), inputs?: readonly unknown[]): void;
export function useLayoutEffect(effect: () => void | (() => void), inputs?: readonly unknown[]): void;
export function useRef<T>(initial: T): { current: T };
export function useState<T>(initial: T | (() => T)): [T, (next: T | ((old: T) => T)) => void];
export function useMemo<T>(make: () => T, inputs: readonly unknown[]): T;
export function useCallback<T>(make: T, inputs: readonly unknown[]): T;
