//! Which shapes of an SVG are seen: a line that nobody sees is no saw line.
//!
//! SVG 2 (W3C), chapters 13 "Painting" and 6 "Styling": a shape is seen by its fill or by its stroke, each unless it says otherwise. A
//! shape that says nothing of its stroke is taken for a line: such are drawn by programs that know geometry alone. Masks, clips, and
//! colours that equal what lies beneath hide nothing here.

use roxmltree::{Document, Node};
use simplecss::{AttributeOperator, Declaration, DeclarationTokenizer, Element, PseudoClass, StyleSheet};

/// Selectors and declarations of all style sheets, and steps of a selector, at most: every selector is asked of every shape.
const PARTS_MOST: usize = 1_000;
const STEPS_MOST: usize = 4;

/// The rules of a drawing's own style sheets.
pub(super) struct Sheets<'a>(StyleSheet<'a>);

/// What a shape takes over from the groups that it lies in.
#[derive(Clone, Copy)]
pub(super) struct Look {
    hidden: bool,
    fill: Paint,
    stroke: Paint,
}

/// Whether each property takes a fill or a stroke away.
#[derive(Clone, Copy, Default)]
struct Paint {
    none: bool,
    clear: bool,
    thin: bool,
}

impl Paint {
    fn is_gone(self) -> bool {
        self.none || self.clear || self.thin
    }
}

impl<'a> Sheets<'a> {
    /// The style sheets of a drawing; `None` where they are longer or more entangled than any drawing program's.
    pub fn of(document: &'a Document) -> Option<Sheets<'a>> {
        let styles = || document.descendants().filter(|node| node.tag_name().name() == "style");
        let texts = || styles().filter_map(|style| style.text());
        let count = texts().flat_map(str::chars).filter(|c| matches!(c, ',' | '{' | ';')).count();
        let deep = |text: &str| {
            let selectors = text.split('}').filter_map(|rule| rule.split_once('{')).flat_map(|rule| rule.0.split(','));
            selectors.map(|selector| selector.split_whitespace().count()).max() > Some(STEPS_MOST)
        };
        if count > PARTS_MOST || texts().any(deep) {
            return None;
        }
        let mut sheet = StyleSheet::new();
        texts().for_each(|text| sheet.parse_more(text));
        Some(Sheets(sheet))
    }

    /// How a shape or group looks within another; `None` when nothing within it is seen either.
    pub fn look(&self, node: Node, around: Look) -> Option<Look> {
        let mut told = Told { look: around, around, undisplayed: false, clear: false };
        let plain = node.attributes().filter(|attribute| attribute.namespace().is_none());
        plain.for_each(|attribute| told.take(attribute.name(), attribute.value()));
        let rules: Vec<_> = self.0.rules.iter().filter(|rule| rule.selector.matches(&Styled(node))).collect();
        let sheets = rules.iter().flat_map(|rule| &rule.declarations).copied();
        let declared: Vec<Declaration> =
            sheets.chain(DeclarationTokenizer::from(node.attribute("style").unwrap_or_default())).collect();
        for important in [false, true] {
            let these = declared.iter().filter(|each| each.important == important);
            these.for_each(|each| told.take(each.name, each.value));
        }
        (!told.undisplayed && !told.clear).then_some(told.look)
    }
}

impl Look {
    /// Of a drawing that says nothing.
    pub fn plain() -> Look {
        Look { hidden: false, fill: Paint::default(), stroke: Paint::default() }
    }

    /// Whether it is said to be hidden, whatever it is painted with.
    pub fn is_hidden(self) -> bool {
        self.hidden
    }

    pub fn is_seen(self) -> bool {
        let unpainted = self.fill.is_gone() && self.stroke.is_gone();
        !self.hidden && !unpainted
    }
}

/// What has been told of a shape or group so far.
struct Told {
    look: Look,
    around: Look,
    /// What is not handed on to what lies within, but takes it away.
    undisplayed: bool,
    clear: bool,
}

impl Told {
    fn take(&mut self, name: &str, value: &str) {
        let value = value.trim();
        let (look, around) = (&mut self.look, self.around);
        let or = |inherited: bool, own: bool| if value == "inherit" { inherited } else { own };
        match name {
            "display" => self.undisplayed = value == "none",
            "opacity" => self.clear = is_zero(value),
            "visibility" => look.hidden = or(around.hidden, value != "visible"),
            "fill" => look.fill.none = or(around.fill.none, is_none(value)),
            "fill-opacity" => look.fill.clear = or(around.fill.clear, is_zero(value)),
            "stroke" => look.stroke.none = or(around.stroke.none, is_none(value)),
            "stroke-opacity" => look.stroke.clear = or(around.stroke.clear, is_zero(value)),
            "stroke-width" => look.stroke.thin = or(around.stroke.thin, is_zero(value)),
            _ => {}
        }
    }
}

fn is_none(paint: &str) -> bool {
    let clear = |hex: &str| (hex.len() == 4 && hex.ends_with('0')) || (hex.len() == 8 && hex.ends_with("00"));
    matches!(paint, "none" | "transparent") || paint.strip_prefix('#').is_some_and(clear)
}

/// Whether an opacity or a length, in whatever unit, is nothing.
fn is_zero(text: &str) -> bool {
    let number = text.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '%');
    number.parse::<f64>().is_ok_and(|value| value <= 0.0)
}

/// A node as selectors see it.
struct Styled<'a, 'input>(Node<'a, 'input>);

impl Element for Styled<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(Styled)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(Styled)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator) -> bool {
        self.0.attribute(name).is_some_and(|value| operator.matches(value))
    }

    fn pseudo_class_matches(&self, class: PseudoClass) -> bool {
        matches!(class, PseudoClass::FirstChild) && self.0.prev_sibling_element().is_none()
    }
}
