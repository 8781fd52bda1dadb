//! The shape of a document as serde-saphyr hands it out.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;

/// The shape of the document; its scalars are cut from the source by their spans.
pub(super) enum Tree {
    Empty,
    /// A scalar; `Some` where the parser handed out a decoded text.
    Scalar(Option<String>),
    List(Vec<Spanned<Tree>>),
    Map(Vec<(Spanned<Tree>, Spanned<Tree>)>),
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TreeVisitor)
    }
}

struct TreeVisitor;

impl<'de> Visitor<'de> for TreeVisitor {
    type Value = Tree;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("YAML")
    }
    fn visit_bool<E>(self, _: bool) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_i64<E>(self, _: i64) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_u64<E>(self, _: u64) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_i128<E>(self, _: i128) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_u128<E>(self, _: u128) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_f64<E>(self, _: f64) -> Result<Tree, E> {
        Ok(Tree::Scalar(None))
    }
    fn visit_str<E>(self, text: &str) -> Result<Tree, E> {
        Ok(Tree::Scalar(Some(text.to_owned())))
    }
    fn visit_string<E>(self, text: String) -> Result<Tree, E> {
        Ok(Tree::Scalar(Some(text)))
    }
    fn visit_unit<E>(self) -> Result<Tree, E> {
        Ok(Tree::Empty)
    }
    fn visit_none<E>(self) -> Result<Tree, E> {
        Ok(Tree::Empty)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Tree, A::Error> {
        let mut list = Vec::new();
        while let Some(node) = access.next_element()? {
            list.push(node);
        }
        Ok(Tree::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Tree, A::Error> {
        let mut map = Vec::new();
        while let Some(entry) = access.next_entry()? {
            map.push(entry);
        }
        Ok(Tree::Map(map))
    }
}
