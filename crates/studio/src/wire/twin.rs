//! The TypeScript twin of the wire types: `ui/state/wire.ts` must be what the types are now.

use std::any::TypeId;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use ts_rs::{Config, TS, TypeVisitor};

use workshop::stock::{Shot, TestShot};

use super::*;

const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../ui/state/wire.ts");
const HEAD: &str = "// Made from crates/studio/src/wire by `cargo xtask wire`; do not change by hand.\n";

struct Gather {
    config: Config,
    seen: BTreeSet<TypeId>,
    declared: BTreeMap<String, String>,
}

impl TypeVisitor for Gather {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        if !self.seen.insert(TypeId::of::<T>()) {
            return;
        }
        // Only types of our own have a file to go to; the others are spelled out where they are used.
        if T::output_path().is_some() {
            let docs = T::docs().unwrap_or_default();
            let text = format!("{docs}export {}\n", T::decl(&self.config));
            let other = self.declared.insert(T::ident(&self.config), text.clone());
            assert!(other.is_none_or(|other| other == text), "two types are called {}", T::ident(&self.config));
        }
        T::visit_dependencies(self);
        T::visit_generics(self);
    }
}

fn twin() -> String {
    let mut gather = Gather { config: Config::from_env(), seen: BTreeSet::new(), declared: BTreeMap::new() };
    macro_rules! all { ($($name:ty),* $(,)?) => { $(gather.visit::<$name>();)* } }
    all!(Desk, Trouble, At, EditBody, Open, Asking, DraftFor, Draft, Accept, AskFor, Started, Stop, Within, Chosen);
    all!(SectionFor, Section, SheetsFor, Hello, ActTold, ActEnded, Found, Seen, Delta, Shot, BoardLook, BoardPut);
    all!(OffersFor, Offers, Tones, Judged, TestShot, TestLook, Sawn);
    let text: Vec<String> = gather.declared.into_values().collect();
    format!("{HEAD}\n{}", text.join("\n"))
}

/// `SPELK_WRITE_WIRE=1` writes the file, as `cargo xtask wire` does.
#[test]
fn the_pages_know_the_wire_as_it_is() {
    let (file, twin) = (Path::new(FILE), twin());
    if std::env::var_os("SPELK_WRITE_WIRE").is_some() {
        std::fs::create_dir_all(file.parent().unwrap()).unwrap();
        std::fs::write(file, &twin).unwrap();
    }
    let found = std::fs::read_to_string(file).unwrap_or_default();
    assert!(found == twin, "ui/state/wire.ts is not current: run `cargo xtask wire`");
}
