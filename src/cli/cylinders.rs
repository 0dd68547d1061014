//! `lightpoint cylinders`: the generic sizes that a plan may name.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::{CylindersArgs, Units};
use crate::cli::output::print;
use crate::physics::bulk::Bulk;
use crate::plan::catalogue::{Size, sizes};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::{Footnotes, filled};
use crate::units::{ATMOSPHERE_PA, CUBIC_FOOT_M3, CUBIC_INCH_M3, LITRE_M3, Shown};

/// Sea water in which the readings are told, kg/m³: 35 PSU at 10 °C, rounded.
const SEA_KG_M3: f64 = 1027.0;

/// Runs the command.
pub fn cylinders(args: &CylindersArgs) -> Result<ExitCode, CliError> {
    let words: Vec<String> =
        args.words.iter().flat_map(|word| word.split_whitespace()).map(str::to_lowercase).collect();
    let fits = |name: &str| words.iter().all(|word| name.to_lowercase().contains(word.as_str()));
    let found: Vec<&Size> = sizes().iter().filter(|size| fits(&size.name) || fits(&size.alias)).collect();
    if found.is_empty() {
        return Err(CliError::Option {
            option: "cylinders",
            value: words.join(" "),
            expected: "no size has that in its name; try steel, aluminium or twin".into(),
        });
    }
    let units: UnitSystem = args.units.into();
    let (mass, pressure) = (Quantity::Mass, Quantity::GaugePressure);
    let (volume_unit, volume_m3) = match args.units {
        Units::Metric => ("L", LITRE_M3),
        Units::Us => ("cu in", CUBIC_INCH_M3),
    };
    let length = units.short_length();
    let mut sources = Footnotes::default();
    let mut table = new_table();
    table.set_header([
        "size".to_owned(),
        format!("water\n{volume_unit}"),
        "rated\ncu ft".to_owned(),
        format!("pressure\n{}", units.symbol(pressure)),
        format!("mass\n{}", units.symbol(mass)),
        format!("±\n{}", units.symbol(mass)),
        format!("outside\n{volume_unit}"),
        format!("empty in\nsea, {}", units.symbol(mass)),
        format!("length\n{}", length.symbol),
        "from".to_owned(),
    ]);
    for size in found {
        let decimals = if args.units == Units::Us { 0 } else { 1 };
        table.add_row([
            size.name.clone(),
            fixed(size.water_m3 / volume_m3, decimals),
            size.rated_m3.map_or(String::new(), |rated_m3| fixed(rated_m3 / CUBIC_FOOT_M3, 0)),
            units.number(pressure, size.working_pa + ATMOSPHERE_PA),
            units.number(mass, size.mass_kg),
            units.number(mass, size.mass_doubt_kg),
            fixed(size.external_m3 / volume_m3, decimals),
            units.signed(mass, Bulk::new(size.mass_kg, size.external_m3).net_kg(SEA_KG_M3)),
            fixed(length.number(size.length_m), length.decimals),
            sources.mark(&provenance(size, length)),
        ]);
    }
    align_numbers(&mut table, 1..9);
    let fit = Fit { fold: 0, leave_out: &[6, 2, 9, 8, 5] };
    print(&format!("{}\n{}", plain(&mut table, fit), sources.text()))?;
    print(&format!(
        "\n{}\n",
        filled(
            "Weigh your own cylinder first: empty, in water, on a spring scale; write the reading as in_water. These are \
             typical figures of generic sizes, valve included; twins with manifold and bands. ± is for 95 % of the \
             cylinders of a class; in water, steel differs by nine tenths of it, aluminium by six. Of steel sizes up to \
             104 cuft, the rated volume is that at 10 % above the pressure shown. Length is that of the shell, to its neck \
             and without the valve; of twins, of one."
        )
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// Where the figures of a size come from; with its length, whose doubt has no column.
fn provenance(size: &Size, length: Shown) -> String {
    let tenths = |length_m: f64| fixed(length_m / length.factor, 1);
    let (value, doubt) = (tenths(size.length_m), tenths(size.length_doubt_m));
    format!("{}; length {value} ± {doubt} {}, {}", size.provenance, length.symbol, size.length_provenance)
}
