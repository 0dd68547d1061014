//! `ρ·V − m` is written down once. Found on the syntax tree: a sum in which a product with a density and a mass stand with
//! opposite signs, in whatever order and brackets.

use syn::visit::{self, Visit};

use super::rules::ONE_SUM;
use super::source::{Offence, Source};

/// The name an expression ends in: of a field, a variable, a method or a function.
fn name(of: &syn::Expr) -> Option<String> {
    match of {
        syn::Expr::Path(path) => path.path.segments.last().map(|segment| segment.ident.to_string().to_lowercase()),
        syn::Expr::Field(field) => match &field.member {
            syn::Member::Named(name) => Some(name.to_string().to_lowercase()),
            syn::Member::Unnamed(_) => None,
        },
        syn::Expr::MethodCall(call) => match call.method.to_string().as_str() {
            "unwrap" | "expect" | "max" | "min" | "clone" | "abs" => name(&call.receiver),
            method => Some(method.to_owned()),
        },
        syn::Expr::Call(call) => name(&call.func),
        syn::Expr::Paren(inside) => name(&inside.expr),
        syn::Expr::Reference(inside) => name(&inside.expr),
        syn::Expr::Try(inside) => name(&inside.expr),
        syn::Expr::Unary(inside) => name(&inside.expr),
        syn::Expr::Index(inside) => name(&inside.expr),
        _ => None,
    }
}

fn is_density(of: &syn::Expr) -> bool {
    name(of).is_some_and(|name| name.ends_with("kg_m3") || ["rho", "density"].contains(&name.as_str()))
}

fn is_mass(of: &syn::Expr) -> bool {
    name(of).is_some_and(|name| name.ends_with("_kg") || ["mass", "kg", "m"].contains(&name.as_str()))
}

/// A term of a sum with its sign.
struct Summand<'a> {
    plus: bool,
    expr: &'a syn::Expr,
}

fn summands<'a>(expr: &'a syn::Expr, plus: bool, into: &mut Vec<Summand<'a>>) {
    match expr {
        syn::Expr::Binary(sum) if matches!(sum.op, syn::BinOp::Add(_) | syn::BinOp::Sub(_)) => {
            summands(&sum.left, plus, into);
            summands(&sum.right, plus == matches!(sum.op, syn::BinOp::Add(_)), into);
        }
        syn::Expr::Paren(inside) => summands(&inside.expr, plus, into),
        syn::Expr::Unary(inside) if matches!(inside.op, syn::UnOp::Neg(_)) => summands(&inside.expr, !plus, into),
        // the fused form: a·b + c
        syn::Expr::MethodCall(call) if call.method == "mul_add" && call.args.len() == 2 => {
            into.push(Summand { plus, expr });
            summands(&call.args[1], plus, into);
        }
        _ => into.push(Summand { plus, expr }),
    }
}

fn factors<'a>(expr: &'a syn::Expr, into: &mut Vec<&'a syn::Expr>) {
    match expr {
        syn::Expr::Binary(product) if matches!(product.op, syn::BinOp::Mul(_)) => {
            factors(&product.left, into);
            factors(&product.right, into);
        }
        syn::Expr::MethodCall(call) if call.method == "mul_add" && call.args.len() == 2 => {
            factors(&call.receiver, into);
            factors(&call.args[0], into);
        }
        syn::Expr::Paren(inside) => factors(&inside.expr, into),
        other => into.push(other),
    }
}

/// A density times something, in which no quotient turns the density into something else.
fn is_displaced(expr: &syn::Expr) -> bool {
    let mut parts = vec![];
    factors(expr, &mut parts);
    parts.len() > 1 && parts.iter().any(|part| is_density(part))
}

struct Sums<'a> {
    source: &'a Source,
    found: Vec<Offence>,
}

impl<'ast> Visit<'ast> for Sums<'_> {
    fn visit_expr(&mut self, expr: &'ast syn::Expr) {
        let mut terms = vec![];
        summands(expr, true, &mut terms);
        if terms.len() == 1 {
            return visit::visit_expr(self, expr);
        }
        let lifts = |plus: bool| terms.iter().any(|term| term.plus == plus && is_displaced(term.expr));
        let masses = |plus: bool| terms.iter().any(|term| term.plus == plus && is_mass(term.expr));
        if (lifts(true) && masses(false)) || (lifts(false) && masses(true)) {
            use quote::ToTokens as _;
            use syn::spanned::Spanned as _;
            let text = expr.to_token_stream().to_string();
            self.found.push(self.source.offence("sums", expr.span(), format!("ρ·V − m again: {text}")));
        }
        // sums within the terms are sums of their own
        for term in &terms {
            visit::visit_expr(self, term.expr);
        }
    }

    fn visit_macro(&mut self, mac: &'ast syn::Macro) {
        // arguments as of `vec![…]` or `assert!(…)`; other macros have none that can be read
        use syn::parse::Parser as _;
        let list = syn::punctuated::Punctuated::<syn::Expr, syn::Token![,]>::parse_terminated;
        if let Ok(list) = list.parse2(mac.tokens.clone()) {
            // the list lives here only, so a visitor of its own looks at it
            let mut inner = Sums { source: self.source, found: vec![] };
            list.iter().for_each(|expr| inner.visit_expr(expr));
            self.found.append(&mut inner.found);
        }
    }
}

pub fn offences(source: &Source) -> Vec<Offence> {
    if ONE_SUM.contains(&source.file.as_str()) {
        return vec![];
    }
    let mut sums = Sums { source, found: vec![] };
    sums.visit_file(&source.tree);
    sums.found
}

#[cfg(test)]
mod planted {
    use super::*;

    #[track_caller]
    fn caught(expr: &str, times: usize) {
        let text = format!("fn f() {{ let _ = {expr}; }}");
        let found = offences(&Source::parse("findings/pool_check.rs", &text));
        assert_eq!(found.len(), times, "{text}: {found:?}");
    }

    #[test]
    fn the_sum_in_any_dress() {
        caught("water_kg_m3 * volume_m3 - mass_kg", 1);
        caught("self.water_kg_m3 * (self.solid_m3 + self.suit_m3) - (self.mass_kg - self.wing_kg)", 1);
        caught("water.density_kg_m3(layer, depth_m) * v - (self.mass_kg - self.suit_kg + suit_kg)", 1);
        caught("SEA_KG_M3 * shape.external_m3 - shape.mass_kg", 1);
        caught("part.mass_kg() - water_kg_m3 * part.volume_m3()", 1);
        caught("-mass_kg + volume_m3 * rho", 1);
        caught("-(mass_kg - volume_m3 * rho)", 1);
        caught("water_kg_m3.mul_add(volume_m3, -mass_kg)", 1);
        caught("3.0 * (a_m + water_kg_m3 * volume_m3 - mass_kg)", 1);
        caught("rows.map(|row| row.water_kg_m3 * row.suit_m3 - row.suit_kg).collect()", 1);
        caught("vec![water_kg_m3 * volume_m3 - mass_kg]", 1);
    }

    #[test]
    fn other_sums() {
        caught("mass_kg - other_kg", 0);
        caught("gas_kg_m3 * volume_m3 + mass_kg", 0);
        caught("(mass_kg - shape.mass_kg) / shape.metal_kg_m3() + valves_kg / 8500.0", 0);
        caught("wing_m3 - net_kg / water_kg_m3", 0);
        caught("lead_kg * (1.0 - water_kg_m3 / LEAD_KG_M3)", 0);
    }
}
