// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <map>
#include <optional>

#include "advice/judged/acceptance.h"
#include "advice/next/sampling_plan.h"
#include "advice/judged/verdict.h"
#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "base/csv.h"
#include "cli/json_out.h"
#include "cli/reason_text.h"
#include "cli/text_files.h"
#include "cli/text_table.h"
#include "cli/trial.h"
#include "stats/log_normal.h"
#include "stats/mean_interval.h"
#include "stats/negative_binomial.h"
#include "stats/systematic.h"

namespace nthtree::cli {

const char* const trial_help =
    "usage: nthtree trial FILE [--stride N] [--start N] [--target N] [--tolerance %] [--json]\n"
    "Where every tree of a block is known (a uniformity trial, yields of last year): what each\n"
    "stride would have said, what a plan, the estimators and the verdict make of one sample, and\n"
    "when the books' stop lines and our own rule would have stopped.\n"
    "\n"
    "  FILE         a table with the columns row, tree, value; every tree of every row\n"
    "  --stride N   of the one sample looked at; the plan's own where not given\n"
    "  --start N    its first tree; drawn by lot where not given\n"
    "  --target N   what a tree should carry; the mean of all trees where not given\n"
    "  --tolerance  15 where not given\n"
    "  --json       for programs\n"
    "\n"
    "  nthtree trial scenarios/apple_trial_1918/trees.csv --stride 9 --start 3 --target 240\n";

namespace {

constexpr std::size_t file_bytes_max = 1 << 22;
constexpr double half_width_aimed = 0.10;
constexpr int strides_shown_most = 40;

base::Result<double> option_number(const Arguments& arguments, const char* name, double otherwise,
                                   double low, double high) {
  if (!arguments.has(name)) return otherwise;
  return base::read_number(arguments.value(name), low, high, name);
}

std::string fixed(double value, int decimals) { return base::print("%.*f", decimals, value); }

std::string fit_told(double df, double p) {
  if (df <= 0) return "too few values to tell how well";
  return base::print("p %.2g: %s", p, p < 0.05 ? "does not fit well" : "fits");
}

// Different places of a row that a stride ever meets; nothing where rows differ in length.
Json places_of(const orchard::Block& block, int stride) {
  if (!block.row_lengths.empty()) return {};
  return static_cast<int>(stats::places_visited(static_cast<std::size_t>(stride),
                                                static_cast<std::size_t>(block.trees_per_row)));
}

Json strides_json(const Trial& trial) {
  Json all = Json::array();
  const int longest = trial.block.trees_per_row;
  const int most = std::min({static_cast<int>(trial.values.size()) / 2, longest + 1,
                             strides_shown_most});
  for (int stride = 2; stride <= most; ++stride) {
    const auto truth = stats::systematic_over_starts(trial.values,
                                                     static_cast<std::size_t>(stride));
    if (!truth) continue;
    const auto warnings = advice::check_stride(trial.block, stride);
    all.push_back({{"stride", stride},
                   {"trees", number(truth->sample_size)},
                   {"variance", number(truth->variance)},
                   {"variance_random", number(truth->variance_random)},
                   {"ratio", number(truth->ratio)},
                   {"lowest_mean", number(truth->lowest_mean)},
                   {"highest_mean", number(truth->highest_mean)},
                   {"places", places_of(trial.block, stride)},
                   {"warned", !warnings.empty()}});
  }
  return all;
}

std::string strides_text(const Json& strides) {
  TextTable table({">every", ">trees", ">places", ">sd of the mean", ">sd if at random",
                   ">variance ratio", ">lowest mean", ">highest", "app"});
  for (const Json& one : strides) {
    table.row({std::to_string(one["stride"].get<int>()), fixed(one["trees"].get<double>(), 0),
               one["places"].is_null() ? "" : std::to_string(one["places"].get<int>()),
               fixed(std::sqrt(one["variance"].get<double>()), 2),
               fixed(std::sqrt(one["variance_random"].get<double>()), 2),
               fixed(one["ratio"].get<double>(), 2), fixed(one["lowest_mean"].get<double>(), 1),
               fixed(one["highest_mean"].get<double>(), 1),
               one["warned"].get<bool>() ? "warns" : ""});
  }
  return table.text("  ");
}

Json trees_json(const Trial& trial) {
  const auto nb = stats::fit_negative_binomial(trial.values);
  const auto ln = stats::fit_log_normal(trial.values);
  Json out;
  out["rows"] = trial.block.rows;
  out["trees"] = trial.values.size();
  out["mean"] = number(trial.summary.mean);
  out["sd"] = number(trial.summary.sd);
  out["cv"] = number(trial.summary.cv);
  if (nb) {
    const auto fit = stats::goodness_of_fit(trial.values, *nb);
    out["negative_binomial"] = {{"k", number(nb->k)},
                                {"k_moments", number(
                                    stats::fit_negative_binomial_moments(trial.values)->k)},
                                {"log_likelihood", number(nb->log_likelihood)},
                                {"chi_squared", fit ? number(fit->chi_squared) : Json()},
                                {"df", fit ? number(fit->df) : Json(0)},
                                {"p", fit ? number(fit->p_value) : Json(1)}};
  }
  if (ln) {
    const auto fit = stats::goodness_of_fit(trial.values, *ln);
    out["log_normal"] = {{"log_mean", number(ln->log_mean)},
                         {"log_sd", number(ln->log_sd)},
                         {"log_likelihood", number(ln->log_likelihood)},
                         {"chi_squared", fit ? number(fit->chi_squared) : Json()},
                         {"df", fit ? number(fit->df) : Json(0)},
                         {"p", fit ? number(fit->p_value) : Json(1)}};
  }
  return out;
}

std::string trees_text(const Json& trees) {
  std::string text = base::print(
      "%d trees in %d rows: mean %.4f, standard deviation %.4f (%.2f %% of the mean)\n",
      trees["trees"].get<int>(), trees["rows"].get<int>(), trees["mean"].get<double>(),
      trees["sd"].get<double>(), 100 * trees["cv"].get<double>());
  if (trees.contains("negative_binomial") && !trees["negative_binomial"]["k"].is_null()) {
    const Json& nb = trees["negative_binomial"];
    text += base::print("negative binomial: k %.4f by likelihood, %.4f by moments; %s\n",
                        nb["k"].get<double>(), nb["k_moments"].get<double>(),
                        fit_told(nb["df"].get<double>(), nb["p"].get<double>()).c_str());
  }
  if (trees.contains("log_normal")) {
    const Json& ln = trees["log_normal"];
    text += base::print("log-normal: logarithms %.4f ± %.4f; %s\n", ln["log_mean"].get<double>(),
                        ln["log_sd"].get<double>(),
                        fit_told(ln["df"].get<double>(), ln["p"].get<double>()).c_str());
  }
  return text;
}

Json sample_json(const Trial& trial, const TrialSample& sample) {
  Json out;
  out["stride"] = sample.stride;
  out["start"] = sample.start;
  out["trees"] = sample.values.size();
  const auto mean = stats::systematic_estimate(sample.values,
                                               static_cast<double>(trial.values.size()));
  const auto interval = stats::mean_interval(sample.values, stats::MeanMethod::skewed, 0.90,
                                             static_cast<double>(trial.values.size()));
  if (!mean || !interval) return out;
  out["mean"] = number(mean->mean);
  out["variance_successive"] = number(mean->variance_successive);
  out["variance_random"] = number(mean->variance_random);
  out["mean_low"] = number(interval->interval.low);
  out["mean_high"] = number(interval->interval.high);
  out["holds_the_truth"] = interval->interval.low <= trial.summary.mean &&
                           trial.summary.mean <= interval->interval.high;
  return out;
}

std::string sample_text(const Json& sample) {
  std::string text = base::print("every %dth tree from tree %d on: %d trees\n",
                                 sample["stride"].get<int>(), sample["start"].get<int>(),
                                 sample["trees"].get<int>());
  if (!sample.contains("mean")) return text;
  return text + base::print(
      "mean %.4f, 90 %% interval %.2f to %.2f: %s the mean of all trees\n"
      "variance of the mean: %.4f by differences of trees that follow each other, %.4f as if "
      "drawn at random\n", sample["mean"].get<double>(), sample["mean_low"].get<double>(),
      sample["mean_high"].get<double>(),
      sample["holds_the_truth"].get<bool>() ? "holds" : "misses",
      sample["variance_successive"].get<double>(), sample["variance_random"].get<double>());
}

Json stops_json(const TrialStops& stops) {
  const auto at = [](int trees) { return trees > 0 ? Json(trees) : Json(); };
  return {{"precision", number(stops.precision)},
          {"taylor_a", number(stops.taylor.a)}, {"taylor_b", number(stops.taylor.b)},
          {"iwao_alpha", number(stops.iwao.alpha)}, {"iwao_beta", number(stops.iwao.beta)},
          {"green_after", at(stops.green_after)}, {"kuno_after", at(stops.kuno_after)}};
}

Json verdict_json(const TrialVerdict& run) {
  Json out;
  out["target"] = number(run.target);
  out["first"] = advice::name_of(run.first);
  out["first_after"] = run.first_after > 0 ? Json(run.first_after) : Json();
  out["last"] = advice::name_of(run.last);
  out["spurs_per_tree"] = number(run.last.over_target.value);
  out["sureness"] = number(run.last.sureness);
  out["expected_more_trees"] = number(run.last.expected_more_trees);
  out["acceptance"] = name_of(run.acceptance.kind);
  out["tost_p"] = number(run.acceptance.tost_p);
  return out;
}

std::string stops_text(const TrialStops& stops, const TrialVerdict& run,
                       const TrialStarts& starts) {
  const auto after = [](int trees) {
    return trees > 0 ? base::print("after %d tree%s", trees, trees == 1 ? "" : "s")
                     : std::string("not in this sample");
  };
  std::string text = base::print(
      "for ±%.0f %% of the mean at 90 %%: Green 1970 (Taylor, variance = %.4f mean^%.4f) stops %s, "
      "Kuno 1969 (Iwao, α %.3f, β %.4f) %s\n", 100 * half_width_aimed, stops.taylor.a,
      stops.taylor.b, after(stops.green_after).c_str(), stops.iwao.alpha, stops.iwao.beta,
      after(stops.kuno_after).c_str());
  text += base::print("our own rule, against a target of %.1f: %s %s\n", run.target,
                      run.first_after > 0 ? word_of(run.first).c_str() : "open to the end,",
                      after(run.first_after).c_str());
  text += base::print("over all %d starts of that stride: harder %d, lighter %d, on target %d, "
                      "open to the end %d\n", starts.all(), starts.harder, starts.lighter,
                      starts.on_target, starts.open);
  text += "at the end: " + word_of(run.last) + "; " + sentence(run.last.reason) + "\n";
  return text + "acceptance: " + word_of(run.acceptance.kind) +
         base::print(" (two one-sided tests, larger p %.3g)\n", run.acceptance.tost_p);
}

// What is looked at: the options, checked against the trial.
struct Wish {
  int stride = 1, start = 1;
  double target = 1, tolerance = 0.15;
};

base::Result<Wish> read_wish(const Arguments& arguments, const Trial& trial,
                             const advice::SamplingPlan& plan) {
  const double all = static_cast<double>(trial.values.size());
  const auto tolerance = option_number(arguments, "--tolerance", 15, 2, 50);
  if (!tolerance) return tolerance.error();
  const auto target = option_number(arguments, "--target", trial.summary.mean, 1, 5000);
  if (!target) return target.error();
  const auto stride = option_number(arguments, "--stride", plan.stride, 1, all);
  if (!stride) return stride.error();
  const auto start = option_number(arguments, "--start", std::min<double>(plan.start, *stride), 1,
                                   *stride);
  if (!start) return start.error();
  for (const auto& [name, value] : {std::pair{"--stride", *stride}, {"--start", *start}}) {
    if (value == std::floor(value)) continue;
    return base::Error{"not_whole", base::shortest(value) + " is not a whole number", name};
  }
  return Wish{static_cast<int>(*stride), static_cast<int>(*start), *target, *tolerance / 100};
}

std::string page_of(const Json& out, const advice::SamplingPlan& plan, const TrialStops& stops,
                    const TrialVerdict& run, const TrialStarts& starts) {
  return trees_text(out["trees"]) + "\nWhat every stride would have given, over all its starts\n" +
         strides_text(out["strides"]) +
         base::print("\nThe plan for ±%.0f %% at 90 %%: every %dth tree, %d trees, ±%.1f %%\n",
                     100 * half_width_aimed, plan.stride, plan.trees,
                     100 * plan.relative_half_width) +
         "\nOne sample\n" + sample_text(out["sample"]) + "\nWhen to stop\n" +
         stops_text(stops, run, starts);
}

}  // namespace

Outcome trial_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--stride", true}, {"--start", true}, {"--target", true}, {"--tolerance", true},
              {"--json", false}}, 1, 1);
  if (!arguments) return refused(arguments.error());
  const auto text = read_text(arguments->rest[0], file_bytes_max);
  if (!text) return refused(text.error());
  auto trial = read_trial(*text);
  if (!trial) {
    base::Error error = trial.error();
    error.where = arguments->rest[0] + (error.where.empty() ? "" : ": ") + error.where;
    return refused(error);
  }
  const auto plan = advice::plan_sampling(
      trial->block, {.relative_half_width = half_width_aimed, .cv = trial->summary.cv},
      advice::seed_of(trial->block.id));
  const auto wish = read_wish(*arguments, *trial, plan);
  if (!wish) return refused(wish.error());
  const TrialSample sample = sample_of(*trial, wish->stride, wish->start);
  const TrialStops stops = stops_of(*trial, sample, half_width_aimed);
  const auto run = verdict_run(*trial, sample, wish->target, wish->tolerance);
  if (!run) return refused(run.error());
  const auto starts = verdicts_of_starts(*trial, sample.stride, wish->target, wish->tolerance);
  if (!starts) return refused(starts.error());

  Json out;
  out["trees"] = trees_json(*trial);
  out["strides"] = strides_json(*trial);
  out["plan"] = {{"stride", plan.stride}, {"start", plan.start}, {"trees", plan.trees},
                 {"relative_half_width", number(plan.relative_half_width)},
                 {"rows_met", plan.rows_met}};
  out["sample"] = sample_json(*trial, sample);
  out["stop_lines"] = stops_json(stops);
  out["verdict"] = verdict_json(*run);
  out["verdict"]["starts"] = {{"harder", starts->harder}, {"lighter", starts->lighter},
                              {"on_target", starts->on_target},
                              {"open", starts->open}};
  if (arguments->has("--json")) return {exit_good, text_of(out), ""};
  return {exit_good, page_of(out, plan, stops, *run, *starts), ""};
}

}  // namespace nthtree::cli
