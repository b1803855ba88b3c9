import { Component, type ReactNode } from 'react';

interface Props {
  readonly onBug: (error: Error) => void;
  readonly children: ReactNode;
}

/** Hands an error thrown by a component to the owner of the screen; Ink's own would draw it and unmount. */
export class BugBoundary extends Component<Props, { readonly hasFailed: boolean }> {
  override state = { hasFailed: false };

  static getDerivedStateFromError(): { hasFailed: boolean } {
    return { hasFailed: true };
  }

  override componentDidCatch(error: unknown): void {
    this.props.onBug(error instanceof Error ? error : new Error(String(error)));
  }

  override render(): ReactNode {
    return this.state.hasFailed ? null : this.props.children;
  }
}
