//! Crossing the border: how values of the core become plain records, and back.
//!
//! The macros write a record or enum once and both ways over it. They take the core's value apart field by field and
//! variant by variant, so what the core adds does not compile here until it crosses too.

use crate::error::NotebookError;

/// From the core to those who call.
pub(crate) trait Out {
    /// What it is out there.
    type Face;
    /// Lets it cross.
    fn out(self) -> Self::Face;
}

/// From those who call into the core.
pub(crate) trait In<Core> {
    /// Lets it cross, unless it is nothing that the core knows.
    fn inward(self) -> Result<Core, NotebookError>;
}

macro_rules! crosses_as_it_is {
    ($($plain:ty),+) => {$(
        impl Out for $plain {
            type Face = $plain;
            fn out(self) -> $plain {
                self
            }
        }

        impl In<$plain> for $plain {
            fn inward(self) -> Result<$plain, NotebookError> {
                Ok(self)
            }
        }
    )+};
}

crosses_as_it_is!(bool, u8, u32, u64, f64, String);

impl Out for &'static str {
    type Face = String;
    fn out(self) -> String {
        self.to_owned()
    }
}

impl Out for usize {
    type Face = u32;
    fn out(self) -> u32 {
        u32::try_from(self).unwrap_or(u32::MAX)
    }
}

impl<T: Out> Out for Option<T> {
    type Face = Option<T::Face>;
    fn out(self) -> Self::Face {
        self.map(Out::out)
    }
}

impl<T: Out + Clone> Out for std::sync::Arc<T> {
    type Face = T::Face;
    fn out(self) -> Self::Face {
        std::sync::Arc::unwrap_or_clone(self).out()
    }
}

impl<T: Out> Out for Vec<T> {
    type Face = Vec<T::Face>;
    fn out(self) -> Self::Face {
        self.into_iter().map(Out::out).collect()
    }
}

impl<Core, T: In<Core>> In<Option<Core>> for Option<T> {
    fn inward(self) -> Result<Option<Core>, NotebookError> {
        self.map(In::inward).transpose()
    }
}

impl<Core, T: In<Core>> In<Vec<Core>> for Vec<T> {
    fn inward(self) -> Result<Vec<Core>, NotebookError> {
        self.into_iter().map(In::inward).collect()
    }
}

/// A record that only comes out.
macro_rules! record_out {
    ($(#[$doc:meta])* $name:ident = $core:ty { $($(#[$field_doc:meta])* $field:ident: $type:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, uniffi::Record)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $type),+
        }

        impl $crate::border::Out for $core {
            type Face = $name;
            fn out(self) -> $name {
                type Core = $core;
                let Core { $($field),+ } = self;
                $name { $($field: $crate::border::Out::out($field)),+ }
            }
        }
    };
}

/// A record that crosses both ways.
macro_rules! record {
    ($(#[$doc:meta])* $name:ident = $core:ty { $($(#[$field_doc:meta])* $field:ident: $type:ty),+ $(,)? }) => {
        record_out! { $(#[$doc])* $name = $core { $($(#[$field_doc])* $field: $type),+ } }

        impl $crate::border::In<$core> for $name {
            fn inward(self) -> Result<$core, $crate::error::NotebookError> {
                type Core = $core;
                Ok(Core { $($field: $crate::border::In::inward(self.$field)?),+ })
            }
        }
    };
}

/// An enum of plain words that crosses both ways.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident = $core:ty { $($(#[$word_doc:meta])* $word:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, uniffi::Enum)]
        pub enum $name {
            $($(#[$word_doc])* $word),+
        }

        impl $crate::border::Out for $core {
            type Face = $name;
            fn out(self) -> $name {
                type Core = $core;
                match self { $(Core::$word => $name::$word),+ }
            }
        }

        impl $crate::border::In<$core> for $name {
            fn inward(self) -> Result<$core, $crate::error::NotebookError> {
                type Core = $core;
                Ok(match self { $($name::$word => Core::$word),+ })
            }
        }
    };
}

pub(crate) use {record, record_out, words};
