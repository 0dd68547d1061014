//! What may be typed of lead: how much, and where.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::{Units, Variation};

/// `lightpoint ballast`
#[derive(Debug, ClapArgs)]
pub struct BallastArgs {
    /// The plan
    pub plan: PathBuf,
    #[command(flatten)]
    /// The pieces of lead.
    pub lead: LeadArgs,
    /// Write the sum out for the two moments that decide, and the gas breathed between them
    #[arg(long)]
    pub explain: bool,
    /// Write the sum as it is done on paper beside that of the dive, line by line, with the reason for every difference
    #[arg(long)]
    pub paper: bool,
    /// Print the answer as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}

/// The pieces of lead that there are.
#[derive(Debug, ClapArgs)]
pub struct LeadArgs {
    /// Round up to whole pieces of this mass [default: 0.5 kg, or 1 lb with US units]
    #[arg(long, value_name = "MASS")]
    pub piece: Option<String>,
    /// Use these pieces and no others, e.g. --own "2 kg, 2 kg, 1 kg" or --own "5 x 1 kg"
    #[arg(long, value_name = "MASSES", value_delimiter = ',', conflicts_with = "piece")]
    pub own: Vec<String>,
}

/// `lightpoint trim`
#[derive(Debug, ClapArgs)]
pub struct TrimArgs {
    /// The plan
    pub plan: PathBuf,
    /// A place where lead may go, e.g. --place belt --place tail [default: those of the plan, else belt, tail, plate, and
    /// between the cylinders of twins]
    #[arg(long, value_name = "PLACE")]
    pub place: Vec<String>,
    #[command(flatten)]
    /// The pieces of lead.
    pub lead: LeadArgs,
    /// Folder for the figures [default: lightpoint-out/PLAN-NAME]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write no files
    #[arg(long, conflicts_with = "out")]
    pub no_files: bool,
    /// Write each figure as PNG too, beside its SVG
    #[arg(long)]
    pub png: bool,
    /// Print the answer as JSON, SI
    #[arg(long)]
    pub json: bool,
    /// Units of everything that is shown [default: those that the plan asks for, else metric]
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    #[command(flatten)]
    /// Changes to the plan.
    pub variation: Variation,
}
