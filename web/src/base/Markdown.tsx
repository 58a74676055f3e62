import { marked, type Token, type Tokens } from "marked";
import { createContext, Fragment, useContext, type ReactNode } from "react";

/** Opens a page that stands beside the one shown, by its name. */
const Beside = createContext<((name: string) => void) | null>(null);

/** Shows markdown as elements of the page; HTML within it is shown as the text that it is. */
export function Markdown({ text, open }: { text: string; open?: (name: string) => void }) {
  return <Beside value={open ?? null}>{blocks(marked.lexer(text))}</Beside>;
}

function Named({ href, children }: { href: string; children: ReactNode }) {
  const open = useContext(Beside);
  const name = /^([a-z-]+)\.md$/.exec(href)?.[1];
  if (!open || !name) return <span className="named">{children}</span>;
  return (
    <button type="button" className="link" onClick={() => open(name)}>
      {children}
    </button>
  );
}

function blocks(tokens: readonly Token[]): ReactNode {
  return tokens.map((token, i) => <Fragment key={i}>{block(token)}</Fragment>);
}

function block(token: Token): ReactNode {
  switch (token.type) {
    case "heading": {
      const { depth, tokens } = token as Tokens.Heading;
      const Tag = `h${Math.min(6, depth + 1)}` as "h2";
      return <Tag>{inline(tokens)}</Tag>;
    }
    case "paragraph":
      return <p>{inline((token as Tokens.Paragraph).tokens)}</p>;
    case "text": {
      const { tokens, text } = token as Tokens.Text;
      return tokens ? inline(tokens) : text;
    }
    case "code":
      return <pre>{(token as Tokens.Code).text}</pre>;
    case "blockquote":
      return <blockquote>{blocks((token as Tokens.Blockquote).tokens)}</blockquote>;
    case "hr":
      return <hr />;
    case "list": {
      const { ordered, items } = token as Tokens.List;
      const Tag = ordered ? "ol" : "ul";
      return (
        <Tag>
          {items.map((item, i) => (
            <li key={i}>{blocks(item.tokens)}</li>
          ))}
        </Tag>
      );
    }
    case "table": {
      const { header, rows } = token as Tokens.Table;
      return (
        <div className="wide">
          <table>
            <thead>
              <tr>{header.map((cell, i) => <th key={i}>{inline(cell.tokens)}</th>)}</tr>
            </thead>
            <tbody>
              {rows.map((row, i) => (
                <tr key={i}>{row.map((cell, k) => <td key={k}>{inline(cell.tokens)}</td>)}</tr>
              ))}
            </tbody>
          </table>
        </div>
      );
    }
    case "html":
      return (token as Tokens.HTML).text;
    default:
      return null;
  }
}

function inline(tokens: readonly Token[] | undefined): ReactNode {
  return tokens?.map((token, i) => <Fragment key={i}>{piece(token)}</Fragment>);
}

function piece(token: Token): ReactNode {
  switch (token.type) {
    case "strong":
      return <strong>{inline((token as Tokens.Strong).tokens)}</strong>;
    case "em":
      return <em>{inline((token as Tokens.Em).tokens)}</em>;
    case "codespan":
      return <code>{(token as Tokens.Codespan).text}</code>;
    case "br":
      return <br />;
    case "link":
      // Pages of the methods name one another, and files of the source: of these there is nothing to open here.
      return <Named href={(token as Tokens.Link).href}>{inline((token as Tokens.Link).tokens)}</Named>;
    case "image":
      return (token as Tokens.Image).text;
    case "escape":
      return (token as Tokens.Escape).text;
    case "text": {
      const { tokens, text } = token as Tokens.Text;
      return tokens ? inline(tokens) : decoded(text);
    }
    default:
      return "raw" in token ? String(token.raw) : null;
  }
}

const ENTITIES: Record<string, string> = { "&lt;": "<", "&gt;": ">", "&amp;": "&", "&quot;": '"', "&#39;": "'" };
const decoded = (text: string): string => text.replace(/&(?:lt|gt|amp|quot|#39);/g, (e) => ENTITIES[e] ?? e);
