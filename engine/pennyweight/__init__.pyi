"""Public names, with their types; built by make docs."""

from . import plots as plots
from .errors import (
    BadValue as BadValue,
    CallError as CallError,
    OutsideRange as OutsideRange,
    PennyweightError as PennyweightError,
    UnknownName as UnknownName,
    WorkbookError as WorkbookError,
)
from .opening import (
    carry_over as carry_over,
    example as example,
    inspect as inspect,
    read as read,
    renew as renew,
)
from .plan import (
    Plan as Plan,
)
from .trade.assay_exchange import (
    nearer_assay as nearer_assay,
    settled_assay as settled_assay,
    umpire_share as umpire_share,
)
from .trade.balance import (
    concentration_ratio as concentration_ratio,
    mass_pull as mass_pull,
    product_recovery as product_recovery,
    three_product_pulls as three_product_pulls,
    two_product_recovery as two_product_recovery,
)
from .trade.bullion import (
    bullion_composition as bullion_composition,
    bullion_mass as bullion_mass,
    dore_payment as dore_payment,
    mass_after_melting as mass_after_melting,
    melt_loss as melt_loss,
    metal_paid_for as metal_paid_for,
    metal_received as metal_received,
    net_gold_price as net_gold_price,
)
from .trade.comminution import (
    bond_energy as bond_energy,
    bond_test_work_index as bond_test_work_index,
    corrected_bond_energy as corrected_bond_energy,
    early_test_work_index as early_test_work_index,
    operating_work_index as operating_work_index,
    rod_test_work_index as rod_test_work_index,
    typical_work_index as typical_work_index,
)
from .trade.contracts import (
    break_even_lot as break_even_lot,
    charge_for_margin as charge_for_margin,
    charged_tons as charged_tons,
    cost_plus as cost_plus,
    milling_charge as milling_charge,
    penalty as penalty,
    risk_carried as risk_carried,
    shared_metal as shared_metal,
    with_minimum as with_minimum,
)
from .trade.crushing import (
    crusher_capacity_at_product as crusher_capacity_at_product,
    crusher_power as crusher_power,
    crushing_stages as crushing_stages,
    impact_work_index as impact_work_index,
    reduction_ratio as reduction_ratio,
    stage_ratio as stage_ratio,
)
from .trade.cutoff import (
    break_even_gold as break_even_gold,
    break_even_gold_by_tail as break_even_gold_by_tail,
    break_even_grade as break_even_grade,
    break_even_net_price as break_even_net_price,
    break_even_price as break_even_price,
    cost_with_opportunity as cost_with_opportunity,
    market_limited_cutoff as market_limited_cutoff,
    mill_limited_cutoff as mill_limited_cutoff,
    mine_limited_cutoff as mine_limited_cutoff,
    opportunity_cost_per_hour as opportunity_cost_per_hour,
)
from .trade.depreciation import (
    cost_depletion as cost_depletion,
    declining_balance_depreciation as declining_balance_depreciation,
    macrs_share as macrs_share,
    straight_line_depreciation as straight_line_depreciation,
    unit_of_production_depreciation as unit_of_production_depreciation,
    years_digits_depreciation as years_digits_depreciation,
)
from .trade.efficiency import (
    diameter_factor as diameter_factor,
    dry_grinding_factor as dry_grinding_factor,
    easiest_product_size as easiest_product_size,
    efficiency_factors as efficiency_factors,
    fine_grind_factor as fine_grind_factor,
    low_reduction_factor as low_reduction_factor,
    open_circuit_factor as open_circuit_factor,
    optimum_feed_size as optimum_feed_size,
    oversized_feed_factor as oversized_feed_factor,
)
from .trade.grains import (
    grain_count as grain_count,
    grain_count_error as grain_count_error,
    grain_mass as grain_mass,
    mass_for_grains as mass_for_grains,
    rock_per_grain as rock_per_grain,
)
from .trade.gravity import (
    freed_size as freed_size,
    gravity_response as gravity_response,
    liberated_fraction as liberated_fraction,
    recovery_at_grind as recovery_at_grind,
    table_capacity_at_grind as table_capacity_at_grind,
    table_capture as table_capture,
)
from .trade.head import (
    assay_call_factor as assay_call_factor,
    calculated_head as calculated_head,
    calculated_recovery as calculated_recovery,
    gold_accounted_for as gold_accounted_for,
    gold_in_specimen as gold_in_specimen,
    metallics_grade as metallics_grade,
    mill_call_factor as mill_call_factor,
    mixed_grade as mixed_grade,
)
from .trade.key_figures import (
    consumables_per_ton as consumables_per_ton,
    operating_cost_per_ton as operating_cost_per_ton,
    power_drawn as power_drawn,
    price_sensitivity as price_sensitivity,
    recovery as recovery,
)
from .trade.lognormal import (
    lognormal_interval as lognormal_interval,
    lognormal_mean as lognormal_mean,
    lognormal_test as lognormal_test,
    ryan_joiner_critical as ryan_joiner_critical,
    sichel_factor as sichel_factor,
)
from .trade.mill_charge import (
    ball_charge_mass as ball_charge_mass,
    filling_from_height as filling_from_height,
    filling_from_height_methods as filling_from_height_methods,
    inside_diameter as inside_diameter,
    mill_volume as mill_volume,
)
from .trade.mills import (
    capacity_at_grind as capacity_at_grind,
    critical_speed as critical_speed,
    mill_power as mill_power,
    mill_power_methods as mill_power_methods,
    power_per_tonne_of_balls as power_per_tonne_of_balls,
    rod_mill_power as rod_mill_power,
    speed_fraction as speed_fraction,
    torque_arm_power as torque_arm_power,
)
from .trade.money import (
    discount_factor as discount_factor,
    drawn_in_parts as drawn_in_parts,
    equivalent_annual_worth as equivalent_annual_worth,
    hoskold_value as hoskold_value,
    internal_rate as internal_rate,
    loan_payment as loan_payment,
    modified_internal_rate as modified_internal_rate,
    net_present_value as net_present_value,
    payback as payback,
    periods_to_discount as periods_to_discount,
)
from .trade.motors import (
    driven_speed as driven_speed,
    generator_fuel as generator_fuel,
    line_power as line_power,
    motor_current as motor_current,
    motor_load as motor_load,
    motor_power as motor_power,
    power_from_current as power_from_current,
    standard_motor as standard_motor,
)
from .trade.partners import (
    catch_up as catch_up,
    interest_after_dilution as interest_after_dilution,
    owner_initial_value as owner_initial_value,
)
from .trade.pulp import (
    pulp_flow as pulp_flow,
    pulp_gravity as pulp_gravity,
    pump_power as pump_power,
    settling_area as settling_area,
    settling_velocity as settling_velocity,
    solids_by_volume as solids_by_volume,
    solids_share as solids_share,
    stokes_velocity as stokes_velocity,
    water_with_solids as water_with_solids,
)
from .trade.purchase import (
    gold_after_deductions as gold_after_deductions,
    grade_by_segment as grade_by_segment,
    grade_by_step as grade_by_step,
    grade_for_paid_gold as grade_for_paid_gold,
    grade_on_sliding_scale as grade_on_sliding_scale,
    paid_gold as paid_gold,
    payable_by_step as payable_by_step,
    payable_share as payable_share,
    purchase_price as purchase_price,
)
from .trade.recovery import (
    recovery_by_size as recovery_by_size,
    staged_recovery as staged_recovery,
    tables_needed as tables_needed,
    tail_grade as tail_grade,
    tail_recovery as tail_recovery,
    two_stage_recovery as two_stage_recovery,
)
from .trade.samples import (
    arithmetic_interval as arithmetic_interval,
    arithmetic_mean as arithmetic_mean,
    coefficient_of_variation as coefficient_of_variation,
    effective_number as effective_number,
    largest_share as largest_share,
    mean_grade as mean_grade,
    weighted_mean as weighted_mean,
)
from .trade.sampling import (
    composition_factor as composition_factor,
    fundamental_error as fundamental_error,
    gold_sampling_constant as gold_sampling_constant,
    liberation_factor as liberation_factor,
    mass_for_error as mass_for_error,
    mass_to_reduce as mass_to_reduce,
    sampling_constant as sampling_constant,
    sampling_error as sampling_error,
)
from .trade.scaling import (
    cost_between as cost_between,
    diluted_grade as diluted_grade,
    dilution_of_ore as dilution_of_ore,
    mined_tons as mined_tons,
    scaled_cost as scaled_cost,
    taylor_life as taylor_life,
    taylor_rate as taylor_rate,
)
from .trade.screening import (
    circulating_load as circulating_load,
    screen_effectiveness as screen_effectiveness,
    screen_efficiency as screen_efficiency,
)
from .trade.settlement import (
    cumulative_rounding as cumulative_rounding,
    gold_balance_difference as gold_balance_difference,
    net_to_owner as net_to_owner,
    round_to_cents as round_to_cents,
)
from .trade.sieves import (
    cumulative_passing as cumulative_passing,
    mesh_to_um as mesh_to_um,
    p80_from_screens as p80_from_screens,
    size_from_screens as size_from_screens,
    top_size as top_size,
    um_to_mesh as um_to_mesh,
)
from .trade.size_reduction import (
    kick_energy as kick_energy,
    rittinger_energy as rittinger_energy,
    size_reduction_methods as size_reduction_methods,
)
from .trade.sizes import (
    fit_gaudin_schuhmann as fit_gaudin_schuhmann,
    fit_rosin_rammler as fit_rosin_rammler,
    gaudin_schuhmann_modulus as gaudin_schuhmann_modulus,
    gaudin_schuhmann_passing as gaudin_schuhmann_passing,
    gaudin_schuhmann_size as gaudin_schuhmann_size,
    rosin_rammler_passing as rosin_rammler_passing,
    rosin_rammler_size as rosin_rammler_size,
    size_distribution_methods as size_distribution_methods,
)
from .trade.tax import (
    loss_offset as loss_offset,
    percentage_depletion as percentage_depletion,
)
from .trade.units import (
    bead_grade as bead_grade,
    fine_gold as fine_gold,
    fineness_of_karat as fineness_of_karat,
    g_per_t_to_oz_per_ton as g_per_t_to_oz_per_ton,
    grams_to_ounces as grams_to_ounces,
    grams_to_pennyweights as grams_to_pennyweights,
    oz_per_long_ton_to_g_per_t as oz_per_long_ton_to_g_per_t,
    oz_per_ton_to_g_per_t as oz_per_ton_to_g_per_t,
    troy_mass as troy_mass,
)
from .trade.wear import (
    ball_top_size as ball_top_size,
    ball_wear as ball_wear,
    crusher_liner_wear as crusher_liner_wear,
    equilibrium_passing as equilibrium_passing,
    graded_charge as graded_charge,
    inventory_life as inventory_life,
    liner_wear as liner_wear,
    make_up as make_up,
    part_cost as part_cost,
)

__version__: str
