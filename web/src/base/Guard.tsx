import { Component, type ReactNode } from "react";

/** Keeps a fault in one part of the page from taking the rest with it. */
export class Guard extends Component<{ of: string; children: ReactNode }, { why: string | null }> {
  override state: { why: string | null } = { why: null };

  static getDerivedStateFromError(error: unknown): { why: string } {
    return { why: error instanceof Error ? error.message : String(error) };
  }

  override componentDidUpdate(before: { of: string }): void {
    if (before.of !== this.props.of && this.state.why !== null) this.setState({ why: null });
  }

  override render(): ReactNode {
    if (this.state.why === null) return this.props.children;
    return (
      <section className="answer" role="alert">
        <h2>This part of the page has failed</h2>
        <p>
          The design and its file are as they were. Open another word, or reload the page. What went wrong: <code>{this.state.why}</code>
        </p>
      </section>
    );
  }
}
