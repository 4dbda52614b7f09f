//! Core types for other languages, without copies of them in this crate.

/// Exports core types to other languages, one line per type: the fields come from the core's own
/// declaration (see `holebook_shape`).
///
/// A type keeps its name unless `as` gives another. One with a parameter is lent for each type that
/// fills it: `Recorded<Reading> as RecordedReading`. The types of its fields must be in scope here
/// under the names that the core uses.
macro_rules! lend {
    ($($module:ident)::+ { $($types:tt)+ }) => {
        lend! { @ [$($module)::+] $($types)+ }
    };
    (@ $module:tt) => {};
    (@ [$($module:ident)::+] $name:ident, $($rest:tt)*) => {
        pub use $($module)::+::$name;
        $name!($name);
        lend! { @ [$($module)::+] $($rest)* }
    };
    (@ [$($module:ident)::+] $name:ident as $new:ident, $($rest:tt)*) => {
        pub use $($module)::+::$name as $new;
        $new!($new);
        lend! { @ [$($module)::+] $($rest)* }
    };
    (@ [$($module:ident)::+] $name:ident<$part:ident> as $new:ident, $($rest:tt)*) => {
        #[doc = concat!("[`", stringify!($name), "`] of [`", stringify!($part), "`].")]
        pub type $new = $($module)::+::$name<$part>;
        $($module)::+::$name!($new, $part);
        lend! { @ [$($module)::+] $($rest)* }
    };
}

pub(crate) use lend;
