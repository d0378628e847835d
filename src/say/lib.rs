//! `say!` and `key!`: every text that a person reads, in English where it is written and in German by the table.
//!
//! The table is `assets/languages/german.toml`, one line a text: the English one, as it stands in the source, and the German
//! one. It is read while compiling, so a translation names the same values, in any order, and one that names another is an error of the
//! compiler. A text without a line there stays English; `tests/languages.rs` finds it, and every line that no text uses.

mod placeholders;
mod table;

use placeholders::Placeholders;
use proc_macro2::{Span, TokenStream};
use quote::{format_ident, quote, quote_spanned};
use std::collections::BTreeSet;
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::{Expr, Ident, LitStr, Token};

/// What stands within the parentheses of `say!`: a text, where needed the sense in which it is meant, and its values.
struct Said {
    text: LitStr,
    sense: Option<LitStr>,
    positional: Vec<Expr>,
    named: Vec<(Ident, Expr)>,
}

impl Parse for Said {
    fn parse(input: ParseStream<'_>) -> syn::Result<Self> {
        let text = input.parse()?;
        let sense = if input.peek(Token![in]) {
            input.parse::<Token![in]>()?;
            Some(input.parse()?)
        } else {
            None
        };
        if !input.is_empty() {
            input.parse::<Token![,]>()?;
        }
        let (mut positional, mut named) = (Vec::new(), Vec::new());
        for value in Punctuated::<Value, Token![,]>::parse_terminated(input)? {
            match value.name {
                Some(name) => named.push((name, value.of)),
                None => positional.push(value.of),
            }
        }
        Ok(Self {
            text,
            sense,
            positional,
            named,
        })
    }
}

struct Value {
    name: Option<Ident>,
    of: Expr,
}

impl Parse for Value {
    fn parse(input: ParseStream<'_>) -> syn::Result<Self> {
        let named = input.peek(syn::Ident) && input.peek2(Token![=]) && !input.peek2(Token![==]);
        let name = if named {
            let name = input.parse()?;
            input.parse::<Token![=]>()?;
            Some(name)
        } else {
            None
        };
        Ok(Self {
            name,
            of: input.parse()?,
        })
    }
}

/// A text for a person. With values (`say!("{n} of {}", all)`) it is a `String` as `format!` makes it, without any a `&'static str`.
///
/// `say!("cut" in "state of an item")` tells apart what is one word in English and two in another language.
#[proc_macro]
pub fn say(tokens: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let said = syn::parse_macro_input!(tokens as Said);
    expanded(&said)
        .unwrap_or_else(|e| e.to_compile_error())
        .into()
}

/// A text that stands in a constant: it remains English there and is looked up with `language::said` where it is shown.
#[proc_macro]
pub fn key(tokens: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let text = syn::parse_macro_input!(tokens as LitStr);
    quote!(#text).into()
}

fn expanded(said: &Said) -> syn::Result<TokenStream> {
    let text = &said.text;
    let english = text.value();
    let key = table::key(&english, said.sense.as_ref().map(LitStr::value));
    let german = table::german(&key).map_err(|why| syn::Error::new(text.span(), why))?;
    let english_places = Placeholders::of(&english);
    let here = Span::mixed_site();
    if said.positional.is_empty() && said.named.is_empty() && english_places.is_empty() {
        // Braces are doubled as in every text with values.
        let plain = LitStr::new(&placeholders::plain(&english), text.span());
        let Some(german) = german else {
            return Ok(quote!(#plain));
        };
        let german = LitStr::new(&placeholders::plain(german), here);
        return Ok(quote_spanned!(here=> ::kerfcast_core::language::either(#plain, #german)));
    }
    let (positional, names, of) = (
        &said.positional,
        said.named.iter().map(|(name, _)| name),
        said.named.iter().map(|(_, of)| of),
    );
    let in_english =
        quote_spanned!(here=> ::std::format!(#text #(, #positional)* #(, #names = #of)*));
    let Some(german) = german else {
        return Ok(in_english);
    };
    let in_german = translated(said, german, &english_places)?;
    Ok(quote_spanned!(here=>
        if ::kerfcast_core::language::is_german() { #in_german } else { #in_english }
    ))
}

/// The German text with those values that it names, each by name.
fn translated(said: &Said, german: &str, english: &Placeholders) -> syn::Result<TokenStream> {
    let here = Span::mixed_site();
    let places = Placeholders::of(german);
    let mut values = Vec::new();
    let mut done = BTreeSet::new();
    for name in places.names() {
        if !done.insert(name) {
            continue;
        }
        if let Some(index) = placeholders::index(name) {
            let Some(of) = said.positional.get(index) else {
                return Err(missing(said, german, name));
            };
            let name = format_ident!("{name}", span = here);
            values.push(quote_spanned!(here=> #name = #of));
        } else if let Some((name, of)) = said.named.iter().find(|(n, _)| n == name) {
            values.push(quote_spanned!(here=> #name = #of));
        } else if english.names().any(|n| n == name) {
            let name = Ident::new(name, said.text.span());
            values.push(quote_spanned!(here=> #name = #name));
        } else {
            return Err(missing(said, german, name));
        }
    }
    let german = LitStr::new(&places.text, here);
    Ok(quote_spanned!(here=> ::std::format!(#german #(, #values)*)))
}

fn missing(said: &Said, german: &str, name: &str) -> syn::Error {
    syn::Error::new(
        said.text.span(),
        format!("the German text names `{name}`, which this text has not: {german}"),
    )
}
