// A view that is drawn again only when what it is given has changed. Not the one of `preact/compat`: with that every text field
// would be taken letter by letter, for it takes `onChange` for `onInput`.

import { Component, type FunctionComponent, h } from "preact";

export function memo<Props extends object>(view: FunctionComponent<Props>): FunctionComponent<Props> {
  class Memo extends Component<Props> {
    override shouldComponentUpdate(next: Props): boolean {
      const now: Props = this.props;
      const keys = new Set([...Object.keys(now), ...Object.keys(next)]) as Set<keyof Props>;
      return [...keys].some((key) => now[key] !== next[key]);
    }
    override render() {
      return h(view, this.props);
    }
  }
  return (props) => h(Memo, props);
}
