// SPDX-License-Identifier: Apache-2.0
// What people miss when they count: every pair of tag and re-count, each person's own ratio, and
// the crew's.
#include <cmath>

#include "advice/worksheet/counting_sheet.h"
#include "base/text.h"
#include "cli/explain/miscount.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

// The scatter of one pair, pooled over people.
void explain_one_pair(const advice::CountingSheet& work, Worksheet& sheet) {
  const advice::CountingPrior& prior = work.prior;
  const std::string one = num(prior.one_sd), weight = num(prior.one_weight);
  std::string squares = weight + " × " + one + " × " + one, df = weight;
  for (const advice::CounterSheet& person : work.people) {
    if (person.pairs.size() < 2) continue;
    add_term(num(person.squares), squares);
    add_term(num(static_cast<double>(person.pairs.size()) - 1), df);
  }
  sheet.equation("variance of one pair", "(" + squares + ") ÷ (" + df + ")", work.one_variance,
                 "(each person's squares about their own mean; as if " + weight +
                 " pairs with a scatter of " + one + " had been seen before)");
}

// Mean and variance between counters: the last round of both.
void explain_crew(const advice::CountingSheet& work, Worksheet& sheet) {
  const advice::CountingPrior& prior = work.prior;
  const std::string variance = num(prior.log_mean_sd) + " × " + num(prior.log_mean_sd);
  const std::string before = num(work.between_before), mean = num(work.mean);
  std::string above = num(prior.log_mean) + " ÷ (" + variance + ")";
  std::string below = "1 ÷ (" + variance + ")";
  std::string squares = num(prior.between_weight) + " × " + num(prior.between_sd) + " × " +
                        num(prior.between_sd);
  double weight = prior.between_weight, counters = prior.off_weight;
  std::string off = num(prior.off_weight) + " × " + num(prior.off_chance);
  for (const advice::CounterSheet& person : work.people) {
    if (person.is_lead) continue;
    const std::string spread = "(" + before + " + " + num(person.own_variance) + ")";
    const std::string usual = num(person.as_usual);
    add_term(usual + " × " + num(person.own_mean) + " ÷ " + spread, above);
    add_term(usual + " ÷ " + spread, below);
    const std::string gap = "(" + num(person.drawn_mean) + " - " + mean + ")";
    add_term(usual + " × (" + gap + " × " + gap + " + " + num(person.drawn_variance) + ")",
             squares);
    add_term("1 - " + usual, off);
    weight += person.as_usual;
    counters += 1;
  }
  sheet.line("the crew: people miss some 8 %, give or take 8 %, and differ by 6 %, before any pair "
             "(common practice); mean and spread are worked out in turn, this is the last round");
  sheet.equation("crew's mean of ln(ratio)", "(" + above + ") ÷ (" + below + ")", work.mean);
  sheet.equation("its variance", "1 ÷ (" + below + ")", work.mean_variance);
  sheet.equation("variance between people", "(" + squares + ") ÷ " + num(weight), work.between,
                 "(each drawn towards the crew; as if three people had been seen before; each "
                 "weighs by the chance to count as the others do)");
  sheet.equation("chance of one more person to count unlike the rest", "(" + off + ") ÷ " +
                 num(counters), work.bias.off_chance,
                 "(one in ten, as if ten people had been seen before; common practice)");
}

void explain_pairs(const advice::CounterSheet& person, Worksheet& sheet) {
  constexpr std::size_t shown_most = 24;
  const double n = static_cast<double>(person.pairs.size());
  std::string sum;
  TextTable table({">tag", ">re-count", ">ln((re-count + 0.5) ÷ (tag + 0.5))"});
  for (const advice::CountedTwice& pair : person.pairs) {
    add_term(num(pair.log_ratio()), sum);
    table.row({plain(pair.tag), plain(pair.check), plain(pair.log_ratio())});
  }
  if (person.pairs.size() > shown_most) {
    return sheet.line("mean of " + counted(n, "ln(re-count ÷ tag)", "ln(re-count ÷ tag)") + ": " +
                      plain(person.own_mean));
  }
  sheet.block(table.text("    "));
  sheet.equation("mean of ln(re-count ÷ tag)", "(" + sum + ") ÷ " + num(n), person.own_mean);
}

// What a single tag is worth: limits of re-count ÷ tag.
void explain_limits(const advice::CountAgreement& limits, Worksheet& sheet) {
  if (!limits.known) return;
  const std::string mean = plain(limits.log_mean), sd = num(limits.log_sd);
  sheet.equation("19 in 20 re-counts lie above the tag times",
                 "exp(" + mean + " - z(0.975) × " + sd + ")", limits.low,
                 "(limits of agreement, Bland and Altman 1986)");
  sheet.equation("and below the tag times", "exp(" + mean + " + z(0.975) × " + sd + ")",
                 limits.high);
}

void explain_signs(const advice::Counter& counter, Worksheet& sheet) {
  for (const auto sign : counter.signs) {
    sheet.line("look at how this person counts: " + word_of(sign));
  }
  if (counter.signs.empty()) return;
  sheet.line("of " + counted(counter.counts, "number") +
             base::print(" %.0f %% end in 0 or 5 (20 %% by chance), %.0f %% repeat the one before; "
                         "spread %.2f of the others'", 100 * counter.digit_share,
                         100 * counter.repeat_share, counter.spread_ratio));
}

void explain_person(const ExplainedBlock& it, const advice::CountingSheet& work,
                    const advice::CounterSheet& person, Worksheet& sheet) {
  const advice::Counter& counter = person.counter;
  sheet.line("");
  sheet.line(who(it, counter.person) + ": " + counted(counter.pairs, "pair") +
             ", own ratio re-count ÷ tag " + plain(counter.own_ratio.value) + " (90 %: " +
             plain(counter.own_ratio.low) + " to " + plain(counter.own_ratio.high) + ")");
  explain_pairs(person, sheet);
  if (person.is_lead) {
    sheet.line("a lead counts right by definition");
  } else {
    sheet.equation("variance of that mean", num(work.one_variance) + " ÷ " + num(counter.pairs),
                   person.own_variance);
    explain_ratio(person, work.bias, sheet);
  }
  sheet.equation("a tag count is multiplied by", "exp(" + plain(counter.log_mean) + ")",
                 counter.ratio.value, "(90 %: " + plain(counter.ratio.low) + " to " +
                 plain(counter.ratio.high) + ")");
  explain_limits(person.limits, sheet);
  explain_signs(counter, sheet);
}

}  // namespace

void explain_counting(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What people miss when they count");
  const auto work = advice::counting_sheet(it.farm->season, it.farm->now_ms);
  sheet.line(counted(work.bias.pairs, "tagged tree was", "tagged trees were") +
             " counted again by a lead, on the whole farm and before advice as well");
  explain_one_pair(work, sheet);
  explain_crew(work, sheet);
  explain_limits(work.limits, sheet);
  for (const std::string& person : advice::counted_here(*it.block)) {
    const advice::CounterSheet* found = work.of(person);
    if (found) {
      explain_person(it, work, *found, sheet);
      continue;
    }
    const advice::Counter counter = work.bias.of(person);
    sheet.line("");
    sheet.line(who(it, person) + ": never counted again; the crew's ratio " +
               plain(counter.ratio.value) + ", standard deviation of its ln " +
               plain(counter.log_sd));
    explain_signs(counter, sheet);
  }
}

}  // namespace nthtree::cli
