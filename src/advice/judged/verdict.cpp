// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/verdict.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/boundary.h"
#include "advice/internal/live.h"
#include "stats/quantiles.h"

namespace nthtree::advice {
namespace {

constexpr double urgent_fraction = 0.6;  // so far off that it is told before the next tree
constexpr double more_trees_most = 99;
constexpr double sd_of_no_evidence = 5;
constexpr double miss_at_far = 0.10;  // chance not to tell one and a half tolerances

struct Evidence {
  double mean = 0, variance = 1;  // of ln(true mean ÷ target), own counts, everything inside
  double df = 8;
};

// One direction, mirrored so that further off is always upwards.
struct Side {
  double near = 0, far = 0;  // > 0
  Boundary boundary;
};

struct Sides {
  Side harder, lighter;
};

// Unequal costs shift the thresholds as decision theory says: the odds at which telling pays are
// cost(wrongly told) ÷ cost(wrongly not told) (J. O. Berger, Statistical Decision Theory and
// Bayesian Analysis, 2nd ed. 1985, sec. 4.4). A spur too many costs `c` of one too few: harder is
// told at chance α·c, lighter at α / c; neither is ever told at worse than one in five.
Sides sides_of(const Standing& standing, const Settings& settings) {
  const double t = settings.tolerance_fraction, c = settings.too_many_cost_ratio;
  const double alpha = 1 - settings.sureness;
  const auto bounded = [](double a) { return std::clamp(a, 0.0005, 0.2); };
  const auto down = [](double f) { return -std::log1p(-std::min(f, 0.95)); };
  Sides sides;
  const double sd = std::sqrt(std::max(1e-6, standing.count_log_variance));
  const auto side = [&](BandSide which, double near, double far, double a) {
    return Side{near, far, boundary_for(which, bounded(a), miss_at_far, (far - near) / sd)};
  };
  sides.harder = side(BandSide::over, std::log1p(t / 2), std::log1p(1.5 * t), alpha * c);
  sides.lighter = side(BandSide::under, down(t / 2), down(1.5 * t), alpha / c);
  return sides;
}

// A t quantile as the normal one of the same chance, so that one boundary serves all.
double as_normal(double t, double df) {
  const double tail = stats::t_cdf(-std::fabs(t), df);
  const double z = tail > 1e-300 ? -stats::normal_quantile(tail) : 37.0;
  return t < 0 ? -z : z;
}

// From a difference of logarithms to the cube-root scale, on which means of counts are nearest to
// normal (E. B. Wilson and M. M. Hilferty, Proc. Natl. Acad. Sci. 17, 1931, for the gamma shape;
// a log-normal's upper tail is a little heavier, METHODS.md has both measured).
double stretch(double difference) { return 3 * std::expm1(std::clamp(difference, -9.0, 9.0) / 3); }

bool tells_change(const Side& side, const Evidence& e, double sign) {
  const double sd = std::sqrt(e.variance);
  const double z = as_normal(sign * stretch(e.mean - sign * side.near) / sd, e.df);
  return z >= z_to_change(side.boundary, (side.far - side.near) / sd);
}

bool tells_clear(const Side& side, const Evidence& e, double sign) {
  const double sd = std::sqrt(e.variance);
  const double z = as_normal(-sign * stretch(e.mean - sign * side.far) / sd, e.df);
  return z >= z_to_clear(side.boundary, (side.far - side.near) / sd);
}

VerdictKind decide(const Sides& sides, const Evidence& e) {
  const bool over = tells_change(sides.harder, e, 1), under = tells_change(sides.lighter, e, -1);
  if (over != under) return over ? VerdictKind::harder : VerdictKind::lighter;
  if (!over && tells_clear(sides.harder, e, 1) && tells_clear(sides.lighter, e, -1)) {
    return VerdictKind::on_target;
  }
  return VerdictKind::count_more;
}

VerdictKind kind_now(const Standing& standing, const Sides& sides) {
  if (!standing.has_target || !(standing.own.sd < sd_of_no_evidence)) {
    return VerdictKind::count_more;
  }
  return decide(sides, {standing.own.mean, standing.own.sd * standing.own.sd, standing.tree_df});
}

// What would be known after `more` further counts that come out as the posterior mean says.
Evidence look_ahead(const Standing& standing, double more) {
  const double shared = standing.shared_log_sd * standing.shared_log_sd;
  const double now = std::max(1e-9, standing.own.sd * standing.own.sd - shared);
  const double own = 1 / now, added = more / standing.count_log_variance;
  const double mean =
      (standing.own.mean * own + standing.log_ratio.mean * added) / (own + added);
  return {mean, 1 / (own + added) + shared, standing.tree_df + more};
}

double expected_more(const Standing& standing, const Sides& sides) {
  double n = 1;
  while (n < more_trees_most && decide(sides, look_ahead(standing, n)) == VerdictKind::count_more) {
    n += n < 20 ? 1 : 5;
  }
  if (n >= more_trees_most && decide(sides, look_ahead(standing, 1e6)) == VerdictKind::count_more) {
    return more_trees_most;
  }
  // In the middle between the answers the walk wanders: Wald's E n = a b / d² there.
  const Side& side = standing.log_ratio.mean >= 0 ? sides.harder : sides.lighter;
  const double d2 = (side.far - side.near) * (side.far - side.near) / standing.count_log_variance;
  return std::min(n, 1 + side.boundary.a * side.boundary.b / d2);
}

double chance_between(const LogRatio& r, double df, double low, double high) {
  return at_least_zero(stats::t_cdf((high - r.mean) / r.sd, df) -
                       stats::t_cdf((low - r.mean) / r.sd, df));
}

// Chance that the advice is fair: to change, more than half a tolerance off that way; on target,
// less than one and a half off.
double sureness_of(VerdictKind kind, const Standing& standing, const Sides& sides) {
  const LogRatio& r = standing.log_ratio;
  const double df = standing.tree_df;
  switch (kind) {
    case VerdictKind::harder: return stats::t_cdf((r.mean - sides.harder.near) / r.sd, df);
    case VerdictKind::lighter: return stats::t_cdf((-sides.lighter.near - r.mean) / r.sd, df);
    case VerdictKind::on_target:
      return chance_between(r, df, -sides.lighter.far, sides.harder.far);
    case VerdictKind::count_more: break;
  }
  return standing.confidence;
}

Reason reason_of_change(const Verdict& verdict, const Standing& standing) {
  const bool harder = verdict.kind == VerdictKind::harder;
  const auto& by = verdict.spurs_per_tree;
  Reason reason;
  reason.numbers = {{"spurs", std::round(std::fabs(by.value))},
                    {"low", std::round(at_least_zero(harder ? by.low : -by.high))},
                    {"high", std::round(at_least_zero(harder ? by.high : -by.low))},
                    {"counts", static_cast<double>(standing.counts)},
                    {"sureness", verdict.sureness}};
  if (verdict.is_urgent) {
    reason.id = harder ? "harder_far" : "lighter_far";
    reason.numbers.push_back({"times", std::exp(standing.log_ratio.mean)});
  } else {
    reason.id = harder ? "harder_sure" : "lighter_sure";
  }
  return reason;
}

// Even endless counting would not do: the target, or this person's counting, is too loosely known.
bool counting_cannot_tell(const Standing& standing, const Sides& sides) {
  return decide(sides, look_ahead(standing, 1e6)) == VerdictKind::count_more;
}

Reason reason_to_count(const Verdict& verdict, const Standing& standing, const Sides& sides) {
  const double counts = standing.counts, more = std::ceil(verdict.expected_more_trees);
  if (counts == 0 && standing.own.sd >= sd_of_no_evidence) return {"no_counts", {}};
  if (standing.counts >= 3 && counting_cannot_tell(standing, sides)) {
    if (standing.target_log_sd >= standing.bias_log_sd) {
      const double branches = std::max(2, standing.branches_more);
      return {"count_more_target", {{"more_branches", branches}}};
    }
    return {"count_more_bias", {{"pairs", static_cast<double>(standing.checks)}}};
  }
  const double spurs = std::round(std::fabs(standing.over_target.value));
  if (verdict.leans_harder) {
    return {"count_more_lean_harder", {{"spurs", spurs}, {"counts", counts}, {"more", more}}};
  }
  if (verdict.leans_lighter) {
    return {"count_more_lean_lighter", {{"spurs", spurs}, {"counts", counts}, {"more", more}}};
  }
  return {"count_more_few", {{"counts", counts}, {"more", more}}};
}

void add_notes(const Standing& standing, Verdict& verdict) {
  const double cv_percent =
      std::round(100 * std::sqrt(std::expm1(standing.tree_log_sd * standing.tree_log_sd)));
  if (standing.mixed) verdict.notes.push_back({"note_two_kinds", {{"cv_percent", cv_percent}}});
  if (standing.bare_trees) verdict.notes.push_back({"note_bare_trees", {}});
  if (standing.neighbours_alike) verdict.notes.push_back({"note_neighbours_alike", {}});
  if (standing.rows_differ) verdict.notes.push_back({"note_rows_differ", {}});
  if (standing.few_rows) verdict.notes.push_back({"note_few_rows", {}});
  const bool tells = verdict.kind == VerdictKind::harder || verdict.kind == VerdictKind::lighter;
  if (tells && !verdict.is_urgent && standing.little_known) {
    verdict.notes.push_back({"note_little_known", {}});
  }
}

}  // namespace

VerdictKind kind_of(const Standing& standing, const Settings& settings) {
  return kind_now(standing, sides_of(standing, settings));
}

Verdict judge(const Standing& standing, const Settings& settings) {
  Verdict verdict;
  if (!standing.has_target) {
    verdict.reason = {"no_target", {}};
    return verdict;
  }
  const Sides sides = sides_of(standing, settings);
  const bool has_evidence = standing.own.sd < sd_of_no_evidence;
  verdict.kind = kind_now(standing, sides);
  verdict.spurs_per_tree = standing.over_target;
  verdict.hands = hand_terms(verdict.spurs_per_tree.value, settings.limbs_per_tree,
                             standing.spurs_per_tree.value);
  verdict.sureness = sureness_of(verdict.kind, standing, sides);
  const double ratio = std::exp(standing.log_ratio.mean);
  switch (verdict.kind) {
    case VerdictKind::harder:
    case VerdictKind::lighter:
      verdict.is_urgent = ratio > 1 + urgent_fraction || ratio < 1 / (1 + urgent_fraction);
      verdict.reason = reason_of_change(verdict, standing);
      break;
    case VerdictKind::on_target:
      verdict.reason = {"on_target_sure", {{"counts", static_cast<double>(standing.counts)},
                                           {"over", std::round(standing.over_target.value)},
                                           {"sureness", verdict.sureness}}};
      break;
    case VerdictKind::count_more:
      verdict.leans_harder = has_evidence && standing.probability_over > 0.6;
      verdict.leans_lighter = has_evidence && standing.probability_under > 0.6;
      verdict.expected_more_trees = expected_more(standing, sides);
      verdict.reason = reason_to_count(verdict, standing, sides);
      break;
  }
  add_notes(standing, verdict);
  return verdict;
}

Verdict verdict_for(const Standing& standing, const Settings& settings) {
  Verdict verdict = judge(standing, settings);
  const int far = standing.far_over + standing.far_under;
  verdict.calls_lead = far >= 2;
  verdict.is_urgent = verdict.is_urgent || verdict.calls_lead;
  const bool says_so = (verdict.kind == VerdictKind::harder && standing.far_under == 0) ||
                       (verdict.kind == VerdictKind::lighter && standing.far_over == 0);
  if (says_so || !(verdict.calls_lead || standing.last_is_far)) return verdict;
  verdict.kind = VerdictKind::count_more;
  verdict.expected_more_trees = std::max(1.0, verdict.expected_more_trees);
  verdict.reason = verdict.calls_lead
                       ? Reason{"far_trees", {{"trees", static_cast<double>(far)}}}
                       : Reason{"far_tree_one", {}};
  return verdict;
}

BoundaryCheck check_boundary(const Standing& standing, const Settings& settings) {
  const Sides sides = sides_of(standing, settings);
  BoundaryCheck check{.count_variance = standing.count_log_variance,
                      .mean = standing.own.mean,
                      .sd = standing.own.sd,
                      .df = standing.tree_df,
                      .harder = {},
                      .lighter = {}};
  const auto fill = [&](const Side& side, double sign) {
    SideCheck one{.near = side.near, .far = side.far};
    one.past_near = sign * stretch(check.mean - sign * side.near);
    one.short_of_far = -sign * stretch(check.mean - sign * side.far);
    one.z = as_normal(one.past_near / check.sd, check.df);
    one.z_clear = as_normal(one.short_of_far / check.sd, check.df);
    one.separation = (side.far - side.near) / check.sd;
    one.z_needed = z_to_change(side.boundary, one.separation);
    one.z_clear_needed = z_to_clear(side.boundary, one.separation);
    one.a = side.boundary.a;
    one.b = side.boundary.b;
    one.z_early = side.boundary.z_early;
    one.terms = side.boundary.terms;
    const double steps = one.separation / side.boundary.step;
    one.counts_worth = std::max(1.0, steps * steps);
    one.early = one.z_needed < one.separation / 2 + one.b / one.separation - 1e-12;
    return one;
  };
  check.harder = fill(sides.harder, 1);
  check.lighter = fill(sides.lighter, -1);
  return check;
}

Verdict verdict_of(const ledger::Season& season, const std::string& block,
                   const std::string& person, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  const Settings settings = found ? settings_for(season, *found) : Settings{};
  return verdict_for(standing_of(season, block, person, now_ms), settings);
}

const char* name_of(VerdictKind kind) {
  switch (kind) {
    case VerdictKind::harder: return "harder";
    case VerdictKind::lighter: return "lighter";
    case VerdictKind::on_target: return "on_target";
    case VerdictKind::count_more: break;
  }
  return "count_more";
}

}  // namespace nthtree::advice
