// SPDX-License-Identifier: Apache-2.0
#include "cli/reason_text.h"

#include <cmath>
#include <cstring>

#include "base/text.h"

namespace nthtree::cli {
namespace {

struct Sentence {
  const char* id;
  const char* text;  // {name}: a number without decimals; {name%}: a fraction as a percentage
};

const Sentence sentences[] = {
    {"harder_sure", "leaves about {spurs} spurs a tree too many ({low} to {high}), after {counts} "
                    "counts; {sureness%} sure"},
    {"lighter_sure", "leaves about {spurs} spurs a tree too few ({low} to {high}), after {counts} "
                     "counts; {sureness%} sure"},
    {"harder_far", "leaves about {spurs} spurs a tree too many, far off; say so at once"},
    {"lighter_far", "leaves about {spurs} spurs a tree too few, far off; say so at once"},
    {"on_target_sure", "inside the band after {counts} counts (the mean {over} spurs off target); "
                       "{sureness%} sure"},
    {"count_more_lean_harder", "looks about {spurs} spurs over after {counts} counts; about {more} "
                               "more trees would tell"},
    {"count_more_lean_lighter", "looks about {spurs} spurs under after {counts} counts; about "
                                "{more} more trees would tell"},
    {"count_more_few", "{counts} counts are too few; about {more} more trees would tell"},
    {"count_more_target", "the target itself is too loosely known: cut about {more_branches} more "
                          "branches"},
    {"count_more_bias", "too little is known of how this person counts ({pairs} re-counts): "
                        "re-count some tagged trees"},
    {"note_two_kinds", "the trees differ so much ({cv_percent} %) that they look like two kinds"},
    {"note_bare_trees", "some counted trees carry next to nothing and are left out"},
    {"note_neighbours_alike", "trees counted one after another are alike: spread the counts wider"},
    {"note_rows_differ", "rows differ: spread the counts over more rows"},
    {"no_counts", "nothing counted yet"},
    {"no_target", "the block has no target yet"},
    {"accept_yes", "mean {mean} ({low} to {high}) lies inside the band around {target}"},
    {"accept_over", "mean {mean} ({low} to {high}) lies above the band around {target}"},
    {"accept_under", "mean {mean} ({low} to {high}) lies below the band around {target}"},
    {"accept_unsure", "mean {mean} ({low} to {high}) is not surely inside the band around "
                      "{target}"},
    {"accept_few", "{counts} counts; {needed} are needed"},
    {"recount_no_pair", "nobody has re-counted this person yet"},
    {"recount_doubtful_counter", "it is not clear how well this person counts"},
    {"recount_odd_number", "the number on the tag looks odd"},
    {"recount_undecided", "it would settle whether to change anything"},
    {"recount_routine", "a routine look"},
};

std::string filled(const char* text, const advice::Reason& reason) {
  std::string out;
  for (const char* at = text; *at; ++at) {
    const char* end = *at == '{' ? std::strchr(at, '}') : nullptr;
    if (!end) {
      out += *at;
      continue;
    }
    std::string name(at + 1, end);
    const bool percent = !name.empty() && name.back() == '%';
    if (percent) name.pop_back();
    const double value = reason.number(name) * (percent ? 100 : 1);
    // "100 % sure" is never true of anything counted.
    out += percent && value > 99.5 && value < 100 ? "over 99 %"
                                                  : base::print(percent ? "%.0f %%" : "%.0f",
                                                                value == 0 ? 0.0 : value);
    at = end;
  }
  return out;
}

}  // namespace

std::string sentence(const advice::Reason& reason) {
  for (const Sentence& one : sentences) {
    if (reason.id == one.id) return filled(one.text, reason);
  }
  std::string text = reason.id;
  for (const auto& [name, value] : reason.numbers) {
    text += base::print(" %s %.4g", name.c_str(), value);
  }
  return text;
}

std::string word_of(const advice::Verdict& verdict) {
  switch (advice::remedy_of(verdict)) {
    case advice::Remedy::count_more: return "count more";
    case advice::Remedy::recount_first: return "re-count first";
    case advice::Remedy::cut_more_buds: return "cut open more buds";
    case advice::Remedy::none: break;
  }
  switch (verdict.kind) {
    case advice::VerdictKind::harder: return "harder";
    case advice::VerdictKind::lighter: return "lighter";
    case advice::VerdictKind::on_target: return "on target";
    case advice::VerdictKind::count_more: break;
  }
  return "no target";
}

std::string word_of(advice::AcceptanceKind kind) {
  switch (kind) {
    case advice::AcceptanceKind::no_target: return "no target";
    case advice::AcceptanceKind::too_few_counts: return "too few counts";
    case advice::AcceptanceKind::accepted: return "accepted";
    case advice::AcceptanceKind::over: return "too many left";
    case advice::AcceptanceKind::under: return "too few left";
    case advice::AcceptanceKind::not_yet_sure: return "not yet sure";
  }
  return "";
}

const char* name_of(advice::AcceptanceKind kind) {
  switch (kind) {
    case advice::AcceptanceKind::no_target: return "no_target";
    case advice::AcceptanceKind::too_few_counts: return "too_few_counts";
    case advice::AcceptanceKind::accepted: return "accepted";
    case advice::AcceptanceKind::over: return "over";
    case advice::AcceptanceKind::under: return "under";
    case advice::AcceptanceKind::not_yet_sure: return "not_yet_sure";
  }
  return "";
}

std::string word_of(advice::CountingSign sign) {
  switch (sign) {
    case advice::CountingSign::copies: return "the same number again and again";
    case advice::CountingSign::digits: return "too many numbers that end in 0 or 5";
    case advice::CountingSign::too_even: return "far less spread than the crew's trees have";
    case advice::CountingSign::ratio_moved: return "misses more, or fewer, than before";
    case advice::CountingSign::misses_many: return "surely off by more than 15 %";
  }
  return "";
}

const char* name_of(advice::CountingSign sign) {
  switch (sign) {
    case advice::CountingSign::copies: return "copies";
    case advice::CountingSign::digits: return "digits";
    case advice::CountingSign::too_even: return "too_even";
    case advice::CountingSign::ratio_moved: return "ratio_moved";
    case advice::CountingSign::misses_many: return "misses_many";
  }
  return "";
}

std::string in_the_hands(const advice::Verdict& verdict) {
  if (verdict.kind != advice::VerdictKind::harder && verdict.kind != advice::VerdictKind::lighter) {
    return "";
  }
  const bool harder = verdict.kind == advice::VerdictKind::harder;
  const char* change = harder ? "fewer" : "more";
  const double amount = verdict.hands.amount;
  switch (verdict.hands.unit) {
    case advice::HandUnit::none: return "";
    case advice::HandUnit::spurs_on_each_limb:
      return base::print("leave %.0f %s on each limb", amount, change);
    case advice::HandUnit::limbs:
      return base::print("take %g more limb%s", amount, amount == 1 ? "" : "s");
    case advice::HandUnit::spurs_on_the_tree:
      return base::print("leave %.0f %s on the tree", amount, change);
  }
  return "";
}

}  // namespace nthtree::cli
