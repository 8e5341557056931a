//! A list whose copies share their elements: copying it copies no element, and changing one element of a copy copies
//! that element alone.

use std::ops::{Index, IndexMut};
use std::slice;
use std::sync::Arc;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A list whose copies share their elements.
#[derive(Debug)]
pub struct Shared<T>(Vec<Arc<T>>);

/// The elements of a [`Shared`] list, in order.
pub type Iter<'a, T> = std::iter::Map<slice::Iter<'a, Arc<T>>, fn(&'a Arc<T>) -> &'a T>;

impl<T> Shared<T> {
    /// How many elements there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The element at a place, from 0.
    pub fn get(&self, at: usize) -> Option<&T> {
        self.0.get(at).map(|t| &**t)
    }

    /// The first element.
    pub fn first(&self) -> Option<&T> {
        self.get(0)
    }

    /// The last element.
    pub fn last(&self) -> Option<&T> {
        self.0.last().map(|t| &**t)
    }

    /// The elements, in order.
    pub fn iter(&self) -> Iter<'_, T> {
        self.0.iter().map(|t| &**t)
    }

    /// The elements as they are held.
    pub fn held(&self) -> &[Arc<T>] {
        &self.0
    }

    /// Adds an element at the end.
    pub fn push(&mut self, t: T) {
        self.0.push(Arc::new(t));
    }

    /// Puts another element in the place of the one at `at`, or at the end where there is none.
    pub fn put(&mut self, at: usize, t: Arc<T>) {
        match self.0.get_mut(at) {
            Some(place) => *place = t,
            None => self.0.push(t),
        }
    }

    /// Puts an element in before the one at `at`.
    ///
    /// # Panics
    /// If `at` is greater than the length.
    pub fn insert(&mut self, at: usize, t: impl Into<Arc<T>>) {
        self.0.insert(at, t.into());
    }

    /// Shortens the list to `len` elements.
    pub fn truncate(&mut self, len: usize) {
        self.0.truncate(len);
    }

    /// The first place at which two lists differ, from `from` on: in an element, or because one of them has none there.
    pub fn differs(&self, other: &Self, from: usize) -> Option<usize>
    where
        T: PartialEq,
    {
        let same = |at: &usize| match (self.0.get(*at), other.0.get(*at)) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b) || a == b,
            _ => false,
        };
        (from..self.len().max(other.len())).find(|at| !same(at))
    }

    /// Whether two lists hold the same element at a place, not merely an equal one.
    pub fn shares(&self, other: &Self, at: usize) -> bool {
        self.0.get(at).zip(other.0.get(at)).is_some_and(|(a, b)| Arc::ptr_eq(a, b))
    }
}

impl<T: Clone> Shared<T> {
    /// An element, to be changed: it is copied if another list holds it too.
    pub fn get_mut(&mut self, at: usize) -> Option<&mut T> {
        self.0.get_mut(at).map(Arc::make_mut)
    }

    /// Puts another element in the place of the one at `at`, which it gives back; `None` if there is none.
    pub fn replace(&mut self, at: usize, t: T) -> Option<T> {
        let place = self.0.get_mut(at)?;
        Some(Arc::unwrap_or_clone(std::mem::replace(place, Arc::new(t))))
    }

    /// The last element, to be changed.
    pub fn last_mut(&mut self) -> Option<&mut T> {
        self.0.last_mut().map(Arc::make_mut)
    }

    /// The elements, to be changed: each is copied if another list holds it too.
    pub fn iter_mut(&mut self) -> <&mut Self as IntoIterator>::IntoIter {
        self.into_iter()
    }

    /// Takes an element out.
    ///
    /// # Panics
    /// If there is none at `at`.
    pub fn remove(&mut self, at: usize) -> T {
        Arc::unwrap_or_clone(self.0.remove(at))
    }
}

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> Default for Shared<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: PartialEq> PartialEq for Shared<T> {
    fn eq(&self, other: &Self) -> bool {
        let same = |(a, b): (&Arc<T>, &Arc<T>)| Arc::ptr_eq(a, b) || a == b;
        self.len() == other.len() && self.0.iter().zip(&other.0).all(same)
    }
}

impl<T: Eq> Eq for Shared<T> {}

impl<T: PartialEq> PartialEq<Vec<T>> for Shared<T> {
    fn eq(&self, other: &Vec<T>) -> bool {
        self.iter().eq(other)
    }
}

impl<T: PartialEq, const N: usize> PartialEq<[T; N]> for Shared<T> {
    fn eq(&self, other: &[T; N]) -> bool {
        self.iter().eq(other)
    }
}

impl<T> Index<usize> for Shared<T> {
    type Output = T;

    fn index(&self, at: usize) -> &T {
        &self.0[at]
    }
}

impl<T: Clone> IndexMut<usize> for Shared<T> {
    fn index_mut(&mut self, at: usize) -> &mut T {
        Arc::make_mut(&mut self.0[at])
    }
}

impl<T> From<Vec<T>> for Shared<T> {
    fn from(all: Vec<T>) -> Self {
        all.into_iter().collect()
    }
}

impl<T, const N: usize> From<[T; N]> for Shared<T> {
    fn from(all: [T; N]) -> Self {
        all.into_iter().collect()
    }
}

impl<T> FromIterator<T> for Shared<T> {
    fn from_iter<I: IntoIterator<Item = T>>(all: I) -> Self {
        Self(all.into_iter().map(Arc::new).collect())
    }
}

impl<T> Extend<T> for Shared<T> {
    fn extend<I: IntoIterator<Item = T>>(&mut self, more: I) {
        self.0.extend(more.into_iter().map(Arc::new));
    }
}

impl<'a, T> IntoIterator for &'a Shared<T> {
    type Item = &'a T;
    type IntoIter = Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<'a, T: Clone> IntoIterator for &'a mut Shared<T> {
    type Item = &'a mut T;
    type IntoIter = std::iter::Map<slice::IterMut<'a, Arc<T>>, fn(&'a mut Arc<T>) -> &'a mut T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter_mut().map(Arc::make_mut)
    }
}

impl<T: Clone> IntoIterator for Shared<T> {
    type Item = T;
    type IntoIter = std::iter::Map<std::vec::IntoIter<Arc<T>>, fn(Arc<T>) -> T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter().map(Arc::unwrap_or_clone)
    }
}

impl<T: Serialize> Serialize for Shared<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Shared<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Vec::deserialize(from).map(Self::from)
    }
}

impl<T: JsonSchema> JsonSchema for Shared<T> {
    fn inline_schema() -> bool {
        Vec::<T>::inline_schema()
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        Vec::<T>::schema_name()
    }

    fn schema_id() -> std::borrow::Cow<'static, str> {
        Vec::<T>::schema_id()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Vec::<T>::json_schema(generator)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_shares_all_but_what_is_changed() {
        let list: Shared<String> = ["a", "b", "c"].map(str::to_owned).into_iter().collect();
        let mut copy = list.clone();
        copy[1].push('!');
        assert_eq!((list[1].as_str(), copy[1].as_str()), ("b", "b!"));
        assert_eq!([0, 1, 2].map(|i| copy.shares(&list, i)), [true, false, true]);
        assert_eq!((list.differs(&copy, 0), list.differs(&copy, 2)), (Some(1), None));
        copy.insert(0, "new".to_owned());
        assert_eq!((list.differs(&copy, 3), copy.differs(&list, 3)), (Some(3), Some(3)));
        assert_eq!(copy.remove(2), "b!");
        assert_eq!(copy.iter().map(String::as_str).collect::<Vec<_>>(), ["new", "a", "c"]);
        assert_eq!(list.len(), 3);
    }

    #[test]
    fn it_is_written_and_read_as_a_list() {
        let list = Shared::from(vec![1, 2, 3]);
        let text = serde_json::to_string(&list).unwrap();
        assert_eq!(text, "[1,2,3]");
        assert_eq!(serde_json::from_str::<Shared<i32>>(&text).unwrap(), list);
        assert_eq!(serde_json::from_str::<Shared<i32>>("[]").unwrap(), Shared::default());
    }
}
