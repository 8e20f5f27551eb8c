// The one table of what answers reference rows: a file for each subject in adapters/. Imports them.
//
// A row names its inputs and expected fields with units last. An input is one number or a list of
// them, and the answer has the same shape; names joined by / are the same quantity in another unit,
// names in brackets may be left out.
//
// group inputs -> fields
//  1 Re [relative_roughness] -> darcy_f, regime
//    D_m/bore_mm L_m rho_kg_m3 Q_m3_s/flow_L_h/m_kg_s mu_Pa_s/nu_m2_s [roughness_m K] -> V_m_s Re
//      regime darcy_f dP_Pa;  p1_Pa p2_Pa [slope_deg g_m_s2] in place of the flow -> hf_m Q_m3_s
//    dip_tube_* hose_* flow_L_h rho_kg_m3 mu_Pa_s [K_inlet K_bends_total_on_hose lift_m] -> dP_*_Pa
//    wall_t_m Di_m [projection_m] -> Rennels Crane
//    bend_diameters Re [angle_deg Di_m roughness_m] -> Rennels Swamee Ito
//  2 H_m/Z_m -> P_Pa T_K;  vapour_pressure_Pa rho_kg_m3 Z_m -> h_max_m
//    P_tank_Pa_abs/P_atm_Pa/Z_m P_v_Pa rho_kg_m3 [lift_m friction_Pa/friction_head_m] -> NPSHa_m
//    value ["2 psi", ...] -> SI unit
//  3 class, grade -> limits;  T1_C nu1_mm2_s T2_C nu2_mm2_s [T_C K_offset] -> A B nu_mm2_s nu_80C
//    nu_mm2_s -> Z nu_back
//    rho15_kg_m3 [T_C V_obs_L] -> VCF rho_T_kg_m3 rho60F_kg_m3 V15_L mass_kg
//    rho60_kg_m3 T_F -> CTL_unrounded
//  4 d_um rho_water_kg_m3 rho_oil_kg_m3 mu_Pa_s -> v_stokes_m_s v_drag_corrected_m_s Re_p_stokes
//      time_through_<depth>m_h_stokes;  flow_L_h bowl_diameter_mm ... -> upflow_m_s d_cut_um Re_p
//    mu_water_Pa_s mu_oil_Pa_s -> factor_over_stokes;  T_K -> B100_saturation_mg_kg ...
//    diesel_mg_kg B100_mg_kg blend_vol_fraction -> B7_mg_kg
//  6 turnovers_Qt_over_V [efficiency] -> mixed_C_over_C0 plug_flow_C_over_C0
//    remaining [efficiency] -> turnovers_eta_<efficiency>;  V_L Q_L_h C0_mg_L t_h -> removed_g
//    V_active_L V_dead_L exchange_L_h Q_L_h turnovers_of_total_volume/t_h [efficiency] -> active
//      dead volume_average
//  7 t_s V_m3 [A_m2 dP_Pa mu_Pa_s cs_kg_m3] -> Kp, B, alpha and Rm by least squares
//    Kp_s_m6 B_s_m3 ... -> alpha_m_kg Rm_1_m;  Kp_small B_small A_small_m2 A_large_m2 [V_m3] -> t_s
//    alpha_m_kg Rm_1_m c_kg_m3 A_m2 mu_Pa_s with Q_L_h -> dP_Pa slope_Pa_per_m3, with dP_Pa -> t_s
// 13 L_m with W_m H_m / top_width_m depth_m [v_depth_m] / D_m [head_depth_m] / D_m H_m, or
//      table_dip_m table_V_L;  h_m -> V_L, V_L -> h_m
//    tilt_deg dip_perp_m [dip_x_from_low_end_m] -> V_L untilted_reading_V_L
//  5 code/particles_per_mL/n4_n6_n14_per_mL -> code;  beta [upstream_per_mL] -> efficiency,
//      downstream_per_mL code_before code_after
//    C0_per_mL V_L Q_L_h efficiency t_h [ingress_per_mL_x_L_h] -> C_per_mL code C_steady_per_mL
//  8 AWG [rho_ohm_m] -> diameter_mm area_mm2 R_mohm_per_m, ampacities;  mm2 -> class2_plain_ohm_km
//      class2_coated_ohm_km class5_plain_ohm_km class5_tinned_ohm_km 60C_A 70C_A 105C_A
//    R_ohm_km or mm2 [class] with I_A one_way_m [V_nominal T_C] -> drop_V drop_pct within_3pct
//      within_10pct;  I_A E_V with L_ft -> CM mm2 AWG, with one_way_m -> AWG_min;  T_C -> factors
//  9 C_Ah k I_A [H_h] -> t_h delivered_Ah;  Cp_Ah k I_A -> t_h;  C_Ah usable I_A -> t_h
//      litres_at_<flow>_L_h;  t1_h I1_A t2_h I2_A -> k;  SoC_pct -> OCV_V specific_gravity
//    OCV_V -> SoC_pct;  t_s I_A -> As Ah;  I_A with turnovers V_L Q_L_h or t_h [V_supply] -> Ah Wh
// 10 K_pulses_per_L Q_L_min -> f_Hz F_per_Lmin;  counts -> u_counts_* rel_*;  x -> mean s u_mean
//      U95_t<degrees>;  mass_kg rho_kg_L pulses (pairs: value, uncertainty) -> K_pulses_per_L u_*
//    V_L t_s [V_half_width_rectangular_L u_each_press_s] -> Q_L_min u_*;  u_rel_pct n -> uc_rel_pct
//      nu_eff t95 U95_pct
// 11 parameters data_ascii -> check crc_of_*;  raw_hex END ESC -> framed_*_hex
// 12 k h shift_sigma [S0] -> ARL, by Siegmund ARL_one_sided ARL0_two_sided;  lambda L shift_sigma
//      -> ARL;  L [shift_sigma] -> ARL0 ARL1;  x with k [h S0] -> S_plus S_minus, cusum_signal_*;
//      x with lambda [L] -> ewma ewma_limit_asymptotic, ewma_signal_*
// 14 c1 c2 r2 d f_Hz (values such as 470n; d is DX or DS) [V_drive duty pulses_before_stop
//      source_R_ohm gate_C_F threshold_V stuck_level_after_stop] -> gate_*_V
//      t_last_edge_to_<volts>V_s
//    sets of such parts -> gate_peak_V time_above_<volts>V_s;  V_drive C1 C2 [VF] -> first_edge_V
// 15 R_ohm T_C, or fit_points_R_ohm fit_points_T_C test_R_ohm -> A B C T_C T_at_<ohm>_C
//    R0 T0_C B_K R_ohm -> T_C;  code R_series [full_scale_code] -> R_ohm
//    R_shunt_ohm current_LSB_A with shunt_reg bus_reg_raw or I_A V_bus_V -> cal_reg bus_adc
//      current_reg power_reg P_W ...
//    code Vref [kPa_min kPa_max bits] -> kPa

import type { Adapter } from "./adapter.ts";
import { atmosphereAdapters } from "./adapters/atmosphere.ts";
import { batteryAdapters } from "./adapters/battery.ts";
import { cableAdapters } from "./adapters/cable.ts";
import { cakeAdapters } from "./adapters/cake.ts";
import { chartsAdapters } from "./adapters/charts.ts";
import { cleanlinessAdapters } from "./adapters/cleanliness.ts";
import { codesAdapters } from "./adapters/codes.ts";
import { deadManAdapters } from "./adapters/dead-man.ts";
import { dieselAdapters } from "./adapters/diesel.ts";
import { dilutionAdapters } from "./adapters/dilution.ts";
import { inputsAdapters } from "./adapters/inputs.ts";
import { meteringAdapters } from "./adapters/metering.ts";
import { pipeAdapters } from "./adapters/pipe.ts";
import { settlingAdapters } from "./adapters/settling.ts";
import { tankShapeAdapters } from "./adapters/tank-shape.ts";

export const adapters: readonly Adapter[] = [
	...pipeAdapters,
	...atmosphereAdapters,
	...dieselAdapters,
	...settlingAdapters,
	...dilutionAdapters,
	...cakeAdapters,
	...batteryAdapters,
	...cableAdapters,
	...chartsAdapters,
	...cleanlinessAdapters,
	...codesAdapters,
	...deadManAdapters,
	...inputsAdapters,
	...meteringAdapters,
	...tankShapeAdapters,
];
