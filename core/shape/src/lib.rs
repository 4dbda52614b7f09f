//! `#[derive(Shape)]`: a record or enum of the core is declared once, and other crates declare it
//! to UniFFI from there.
//!
//! The derive writes a macro that has the type's name and is defined next to it, so that it is
//! imported and re-exported with the type. Called with a name, as in `Reading!(Reading)`, it
//! expands to the type's declaration for `#[uniffi::remote]`: the same documentation, fields and
//! variants, and no other attribute. For a type with parameters, the types that fill them follow:
//! `Recorded!(RecordedReading, Reading)`. The crate that owns the type depends on this one only,
//! not on UniFFI.
//!
//! A field may be left out in other languages if it is an `Option` or a list, or a `bool` with
//! `#[serde(default)]`. The only field of a tuple variant is called `value` there; more fields than
//! one need names here.

use proc_macro::{Delimiter, Group, Ident, Punct, Spacing, Span, TokenStream, TokenTree};

/// Writes the macro for a struct with named fields or for an enum.
#[proc_macro_derive(Shape)]
pub fn shape(item: TokenStream) -> TokenStream {
    match Declaration::read(item) {
        Ok(declaration) => declaration.into_macro(),
        Err(why) => parse(&format!("compile_error!({why:?});")),
    }
}

/// A type's declaration, in the parts that the macro needs.
struct Declaration {
    /// Documentation and `cfg`s of the type itself.
    attributes: TokenStream,
    /// `struct` or `enum`.
    keyword: String,
    name: String,
    /// Names of its type parameters.
    parameters: Vec<String>,
    /// Its fields or variants, ready for UniFFI.
    body: TokenStream,
}

impl Declaration {
    fn read(item: TokenStream) -> Result<Self, &'static str> {
        let mut tokens = item.into_iter();
        let mut attributes = TokenStream::new();
        let (mut keyword, mut name) = (String::new(), String::new());
        let mut parameters = Vec::new();
        while let Some(token) = tokens.next() {
            match token {
                TokenTree::Punct(punct) if punct.as_char() == '#' => {
                    attributes.extend(tokens.next().map(kept));
                }
                TokenTree::Ident(ident) if keyword.is_empty() => {
                    keyword = ident.to_string();
                    if keyword == "pub" {
                        keyword.clear();
                    }
                }
                TokenTree::Ident(ident) if name.is_empty() => name = ident.to_string(),
                TokenTree::Ident(ident) => parameters.push(ident.to_string()),
                TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                    let body = match keyword.as_str() {
                        "struct" => fields(group.stream(), &parameters),
                        "enum" => variants(group.stream(), &parameters)?,
                        _ => break,
                    };
                    return Ok(Self {
                        attributes,
                        keyword,
                        name,
                        parameters,
                        body,
                    });
                }
                _ => {}
            }
        }
        Err("only a struct with named fields or an enum has a shape to lend")
    }

    /// The macro, exported under the type's name.
    fn into_macro(self) -> TokenStream {
        let Self {
            attributes,
            keyword,
            name,
            parameters,
            body,
        } = self;
        let taken: String = parameters
            .iter()
            .map(|parameter| format!(", ${parameter}:ty"))
            .collect();
        let kind = if keyword == "struct" {
            "Record"
        } else {
            "Enum"
        };
        let mut expansion = parse(&format!("#[::uniffi::remote({kind})]"));
        expansion.extend(attributes);
        expansion.extend(parse(&format!("pub {keyword}")));
        expansion.extend(dollar("name"));
        expansion.extend([group(Delimiter::Brace, body)]);
        let mut rule = parse(&format!("($name:ident{taken}) =>"));
        rule.extend([group(Delimiter::Brace, expansion)]);

        let exported = exported_name(&name);
        let mut whole = parse(&format!(
            "#[doc(hidden)] #[macro_export] macro_rules! {exported}"
        ));
        whole.extend([group(Delimiter::Brace, rule)]);
        whole.extend(parse(&format!(
            "#[doc(hidden)] #[allow(unused_imports)] pub use {exported} as {name};"
        )));
        whole
    }
}

/// The macro's name at the root of its crate, where `macro_export` puts all of them: with the file,
/// since two modules may each have a type of this name.
fn exported_name(type_name: &str) -> String {
    let file = Span::call_site().file();
    let file = file.replace(|c: char| !c.is_ascii_alphanumeric(), "_");
    format!("shape_of_{type_name}_in_{file}")
}

/// The fields of a struct, each marked where other languages may leave it out.
fn fields(body: TokenStream, parameters: &[String]) -> TokenStream {
    let mut lent = TokenStream::new();
    for field in split(body) {
        if may_be_left_out(&field) {
            lent.extend(parse("#[uniffi(default)]"));
        }
        lent.extend(bare(field.into_iter().collect(), parameters));
        lent.extend(parse(","));
    }
    lent
}

/// The variants of an enum, with a name for the field of each tuple variant.
fn variants(body: TokenStream, parameters: &[String]) -> Result<TokenStream, &'static str> {
    let mut lent = TokenStream::new();
    for variant in split(body) {
        for token in bare(variant.into_iter().collect(), parameters) {
            match token {
                TokenTree::Group(tuple) if tuple.delimiter() == Delimiter::Parenthesis => {
                    if split(tuple.stream()).len() > 1 {
                        return Err("a variant with several fields needs names for them");
                    }
                    let mut field = parse("#[uniffi(name = \"value\")]");
                    field.extend(tuple.stream());
                    lent.extend([group(Delimiter::Parenthesis, field)]);
                }
                other => lent.extend([other]),
            }
        }
        lent.extend(parse(","));
    }
    Ok(lent)
}

/// The parts between commas; those within `<...>` do not divide.
fn split(body: TokenStream) -> Vec<Vec<TokenTree>> {
    let mut parts = vec![Vec::new()];
    let mut depth = 0;
    for token in body {
        match &token {
            TokenTree::Punct(punct) if punct.as_char() == '<' => depth += 1,
            TokenTree::Punct(punct) if punct.as_char() == '>' => depth -= 1,
            TokenTree::Punct(punct) if punct.as_char() == ',' && depth == 0 => {
                parts.push(Vec::new());
                continue;
            }
            _ => {}
        }
        if let Some(last) = parts.last_mut() {
            last.push(token);
        }
    }
    parts.retain(|part| !part.is_empty());
    parts
}

/// Whether a field is an `Option`, a list, or a `bool` that serde fills in.
fn may_be_left_out(field: &[TokenTree]) -> bool {
    let (mut filled_in, mut colon) = (false, false);
    for token in field {
        match token {
            TokenTree::Group(attribute) if attribute.delimiter() == Delimiter::Bracket => {
                filled_in |= has_serde_default(attribute);
            }
            TokenTree::Punct(punct) if punct.as_char() == ':' => colon = true,
            TokenTree::Ident(ident) if colon => {
                return match ident.to_string().as_str() {
                    "Option" | "Vec" => true,
                    "bool" => filled_in,
                    _ => false,
                };
            }
            _ => {}
        }
    }
    false
}

/// Whether an attribute is `serde(..., default, ...)`.
fn has_serde_default(attribute: &Group) -> bool {
    let mut tokens = attribute.stream().into_iter();
    let (Some(TokenTree::Ident(name)), Some(TokenTree::Group(options))) =
        (tokens.next(), tokens.next())
    else {
        return false;
    };
    let is_default = |option: &Vec<TokenTree>| matches!(option.as_slice(), [TokenTree::Ident(word)] if word.to_string() == "default");
    name.to_string() == "serde" && split(options.stream()).iter().any(is_default)
}

/// The tokens without attributes that UniFFI does not read, and with type parameters as the macro's
/// own.
fn bare(tokens: TokenStream, parameters: &[String]) -> TokenStream {
    let mut lent = TokenStream::new();
    let mut tokens = tokens.into_iter();
    while let Some(token) = tokens.next() {
        match token {
            TokenTree::Punct(punct) if punct.as_char() == '#' => {
                lent.extend(tokens.next().map(kept));
            }
            TokenTree::Group(inner) => {
                lent.extend([group(inner.delimiter(), bare(inner.stream(), parameters))]);
            }
            TokenTree::Ident(ident) if parameters.contains(&ident.to_string()) => {
                lent.extend(dollar(&ident.to_string()));
            }
            other => lent.extend([other]),
        }
    }
    lent
}

/// An attribute, given its brackets, if it goes along: documentation, `cfg` and `non_exhaustive`.
fn kept(brackets: TokenTree) -> TokenStream {
    let name = match &brackets {
        TokenTree::Group(group) => group.stream().into_iter().next(),
        _ => None,
    };
    let name = name.map(|name| name.to_string()).unwrap_or_default();
    if !matches!(name.as_str(), "doc" | "cfg" | "non_exhaustive") {
        return TokenStream::new();
    }
    let sign = TokenTree::Punct(Punct::new('#', Spacing::Alone));
    TokenStream::from_iter([sign, brackets])
}

/// A variable of the macro.
fn dollar(name: &str) -> TokenStream {
    let sign = TokenTree::Punct(Punct::new('$', Spacing::Alone));
    TokenStream::from_iter([sign, TokenTree::Ident(Ident::new(name, Span::call_site()))])
}

fn group(delimiter: Delimiter, stream: TokenStream) -> TokenTree {
    TokenTree::Group(Group::new(delimiter, stream))
}

/// The tokens of source text that this crate writes itself.
fn parse(source: &str) -> TokenStream {
    source.parse().expect("source text of this crate parses")
}
