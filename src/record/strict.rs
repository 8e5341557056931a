//! A wrapper around a deserializer that fails at the first unknown field.
//!
//! It does not track its place in the text, so it is almost free. If it fails, the text is read again by a reader that reports the
//! place: see [`super::read`].

use serde::de::{
    self, DeserializeSeed, Deserializer, EnumAccess, Error, MapAccess, SeqAccess, VariantAccess, Visitor,
};
use std::fmt;

/// Around a reader, what it reads into, or what it hands out: each hands on only what is wrapped again.
///
/// A field that nothing asks for is an error if `KNOWN`. Fields without their names, in brackets, always are: they could be
/// taken for others.
pub(super) struct Strict<T, const KNOWN: bool>(T);

/// Hands each way of asking on to the reader inside, with a wrapped visitor.
macro_rules! ask {
    ($($ask:ident($($name:ident: $type:ty),*)),* $(,)?) => {$(
        fn $ask<V: Visitor<'de>>(self, $($name: $type,)* visitor: V) -> Result<V::Value, D::Error> {
            self.0.$ask($($name,)* Strict::<_, KNOWN>(visitor))
        }
    )*};
}

impl<'de, D: Deserializer<'de>, const KNOWN: bool> Deserializer<'de> for Strict<D, KNOWN> {
    type Error = D::Error;

    ask! {
        deserialize_any(), deserialize_bool(), deserialize_char(), deserialize_str(), deserialize_string(),
        deserialize_bytes(), deserialize_byte_buf(), deserialize_option(), deserialize_unit(), deserialize_seq(),
        deserialize_map(), deserialize_identifier(), deserialize_i8(), deserialize_i16(), deserialize_i32(),
        deserialize_i64(), deserialize_i128(), deserialize_u8(), deserialize_u16(), deserialize_u32(),
        deserialize_u64(), deserialize_u128(), deserialize_f32(), deserialize_f64(),
        deserialize_unit_struct(name: &'static str), deserialize_newtype_struct(name: &'static str),
        deserialize_tuple(len: usize), deserialize_tuple_struct(name: &'static str, len: usize),
        deserialize_enum(name: &'static str, variants: &'static [&'static str]),
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_struct(name, fields, Braces::<_, KNOWN>(visitor))
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        if KNOWN {
            return Err(D::Error::custom("a field that nothing asks for"));
        }
        self.0.deserialize_ignored_any(visitor)
    }

    fn is_human_readable(&self) -> bool {
        self.0.is_human_readable()
    }
}

/// Around what reads fields: takes them with their names only.
struct Braces<V, const KNOWN: bool>(V);

impl<'de, V: Visitor<'de>, const KNOWN: bool> Visitor<'de> for Braces<V, KNOWN> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.expecting(f)
    }

    fn visit_map<A: MapAccess<'de>>(self, fields: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(Strict::<_, KNOWN>(fields))
    }
}

/// Hands each plain value on as it is.
macro_rules! plain {
    ($($visit:ident($type:ty)),* $(,)?) => {$(
        fn $visit<E: Error>(self, value: $type) -> Result<V::Value, E> {
            self.0.$visit(value)
        }
    )*};
}

impl<'de, V: Visitor<'de>, const KNOWN: bool> Visitor<'de> for Strict<V, KNOWN> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.expecting(f)
    }

    plain! {
        visit_bool(bool), visit_char(char), visit_str(&str), visit_borrowed_str(&'de str), visit_string(String),
        visit_bytes(&[u8]), visit_borrowed_bytes(&'de [u8]), visit_byte_buf(Vec<u8>), visit_i8(i8), visit_i16(i16),
        visit_i32(i32), visit_i64(i64), visit_i128(i128), visit_u8(u8), visit_u16(u16), visit_u32(u32),
        visit_u64(u64), visit_u128(u128), visit_f32(f32), visit_f64(f64),
    }

    fn visit_none<E: Error>(self) -> Result<V::Value, E> {
        self.0.visit_none()
    }

    fn visit_unit<E: Error>(self) -> Result<V::Value, E> {
        self.0.visit_unit()
    }

    fn visit_some<D: Deserializer<'de>>(self, reader: D) -> Result<V::Value, D::Error> {
        self.0.visit_some(Strict::<_, KNOWN>(reader))
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, reader: D) -> Result<V::Value, D::Error> {
        self.0.visit_newtype_struct(Strict::<_, KNOWN>(reader))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<V::Value, A::Error> {
        self.0.visit_seq(Strict::<_, KNOWN>(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, fields: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(Strict::<_, KNOWN>(fields))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, variant: A) -> Result<V::Value, A::Error> {
        self.0.visit_enum(Strict::<_, KNOWN>(variant))
    }
}

impl<'de, S: DeserializeSeed<'de>, const KNOWN: bool> DeserializeSeed<'de> for Strict<S, KNOWN> {
    type Value = S::Value;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<S::Value, D::Error> {
        self.0.deserialize(Strict::<_, KNOWN>(reader))
    }
}

impl<'de, A: SeqAccess<'de>, const KNOWN: bool> SeqAccess<'de> for Strict<A, KNOWN> {
    type Error = A::Error;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        self.0.next_element_seed(Strict::<_, KNOWN>(seed))
    }

    fn size_hint(&self) -> Option<usize> {
        self.0.size_hint()
    }
}

impl<'de, A: MapAccess<'de>, const KNOWN: bool> MapAccess<'de> for Strict<A, KNOWN> {
    type Error = A::Error;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        // A key holds nothing to ask for.
        self.0.next_key_seed(seed)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, A::Error> {
        self.0.next_value_seed(Strict::<_, KNOWN>(seed))
    }

    fn size_hint(&self) -> Option<usize> {
        self.0.size_hint()
    }
}

impl<'de, A: EnumAccess<'de>, const KNOWN: bool> EnumAccess<'de> for Strict<A, KNOWN> {
    type Error = A::Error;
    type Variant = Strict<A::Variant, KNOWN>;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self::Variant), A::Error> {
        self.0.variant_seed(seed).map(|(value, variant)| (value, Strict::<_, KNOWN>(variant)))
    }
}

impl<'de, A: VariantAccess<'de>, const KNOWN: bool> VariantAccess<'de> for Strict<A, KNOWN> {
    type Error = A::Error;

    fn unit_variant(self) -> Result<(), A::Error> {
        self.0.unit_variant()
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, A::Error> {
        self.0.newtype_variant_seed(Strict::<_, KNOWN>(seed))
    }

    fn tuple_variant<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, A::Error> {
        self.0.tuple_variant(len, Strict::<_, KNOWN>(visitor))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, A::Error> {
        self.0.struct_variant(fields, Strict::<_, KNOWN>(visitor))
    }
}

/// Reads the whole of a JSON text that holds no field which nothing asks for. It says no more than that something is
/// wrong with it.
pub(super) fn known_only<'de, T: de::Deserialize<'de>>(text: &'de [u8]) -> Result<T, serde_json::Error> {
    let mut json = serde_json::Deserializer::from_slice(text);
    let read = T::deserialize(Strict::<_, true>(&mut json))?;
    json.end().map(|()| read)
}

/// A reader that takes fields with their names only.
pub(super) fn braces<'de, D: Deserializer<'de>>(reader: D) -> Strict<D, false> {
    Strict(reader)
}
