//! Which shapes of an SVG are seen: a line that nobody sees is no saw line.
//!
//! SVG 2 (W3C), chapters 13 "Painting" and 6 "Styling": a shape is seen by its fill or by its stroke, each unless it says otherwise. A
//! shape that says nothing of its stroke is taken for a line: such are drawn by programs that know geometry alone.

use roxmltree::{Document, Node};
use simplecss::{AttributeOperator, DeclarationTokenizer, Element, PseudoClass, StyleSheet};

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
    pub fn of(document: &'a Document) -> Sheets<'a> {
        let mut sheet = StyleSheet::new();
        let styles = document.descendants().filter(|node| node.tag_name().name() == "style");
        styles.filter_map(|style| style.text()).for_each(|text| sheet.parse_more(text));
        Sheets(sheet)
    }

    /// How many rules there are.
    pub fn count(&self) -> usize {
        self.0.rules.len()
    }

    /// How a shape or group looks within another; `None` when nothing within it is seen either.
    pub fn look(&self, node: Node, around: Look) -> Option<Look> {
        let mut look = around;
        let mut told = Told::default();
        let attributes = node.attributes().map(|attribute| (attribute.name(), attribute.value()));
        attributes.for_each(|(name, value)| told.take(&mut look, name, value));
        for rule in self.0.rules.iter().filter(|rule| rule.selector.matches(&Styled(node))) {
            rule.declarations.iter().for_each(|each| told.take(&mut look, each.name, each.value));
        }
        let own = node.attribute("style").unwrap_or_default();
        DeclarationTokenizer::from(own).for_each(|each| told.take(&mut look, each.name, each.value));
        (!told.undisplayed && !told.clear).then_some(look)
    }
}

impl Look {
    /// Of a drawing that says nothing.
    pub fn plain() -> Look {
        Look { hidden: false, fill: Paint::default(), stroke: Paint::default() }
    }

    pub fn is_seen(self) -> bool {
        !self.hidden && !(self.fill.is_gone() && self.stroke.is_gone())
    }
}

/// What is not handed on to what lies within, but takes it away.
#[derive(Default)]
struct Told {
    undisplayed: bool,
    clear: bool,
}

impl Told {
    fn take(&mut self, look: &mut Look, name: &str, value: &str) {
        let value = value.trim();
        if value == "inherit" {
            return;
        }
        match name {
            "display" => self.undisplayed = value == "none",
            "opacity" => self.clear = is_zero(value),
            "visibility" => look.hidden = value != "visible",
            "fill" => look.fill.none = is_none(value),
            "fill-opacity" => look.fill.clear = is_zero(value),
            "stroke" => look.stroke.none = is_none(value),
            "stroke-opacity" => look.stroke.clear = is_zero(value),
            "stroke-width" => look.stroke.thin = is_zero(value),
            _ => {}
        }
    }
}

fn is_none(paint: &str) -> bool {
    matches!(paint, "none" | "transparent")
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
