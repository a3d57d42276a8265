// SPDX-License-Identifier: Apache-2.0
#include "cli/reason_text.h"

#include <cmath>
#include <cstring>
#include <span>

#include "base/text.h"

namespace nthtree::cli {
namespace {

struct Sentence {
  const char* id;
  // {name}: a number without decimals; {name%}: a fraction as a percentage; {name?tree|trees}: the
  // one word where the number is 1, else the other.
  const char* text;
};

// Of verdicts and their notes.
const Sentence of_verdicts[] = {
    {"harder_sure", "leaves about {spurs} {spurs?spur|spurs} a tree too many ({low} to {high}), "
                    "after {counts} {counts?count|counts}; {sureness%} sure"},
    {"lighter_sure", "leaves about {spurs} {spurs?spur|spurs} a tree too few ({low} to {high}), "
                     "after {counts} {counts?count|counts}; {sureness%} sure"},
    {"harder_far", "leaves about {spurs} {spurs?spur|spurs} a tree too many, far off; say so at "
                   "once"},
    {"lighter_far", "leaves about {spurs} {spurs?spur|spurs} a tree too few, far off; say so at "
                    "once"},
    {"all_stays", "unpruned trees carry about {unpruned} {unpruned?spur|spurs}, fewer than the "
                  "{target} to be left: every healthy spur may stay"},
    {"on_target_sure", "inside the band after {counts} {counts?count|counts} (the mean {over} "
                       "{over?spur|spurs} off target); {sureness%} sure"},
    {"count_more_lean_harder", "looks about {spurs} {spurs?spur|spurs} over after {counts} "
                               "{counts?count|counts}; about {more} more {more?tree|trees} would "
                               "tell"},
    {"count_more_lean_lighter", "looks about {spurs} {spurs?spur|spurs} under after {counts} "
                                "{counts?count|counts}; about {more} more {more?tree|trees} would "
                                "tell"},
    {"count_more_few", "{counts} {counts?count is|counts are} too few; about {more} more "
                       "{more?tree|trees} would tell"},
    {"count_more_many", "lies between two answers after {counts} {counts?count|counts}; more than "
                        "{most} more trees would be needed, and either answer is fair"},
    {"count_more_target", "the target itself is too loosely known: cut open about {more_branches} "
                          "more {more_branches?branch|branches} of buds"},
    {"count_more_bias", "too little is known of how these trees were counted ({pairs} "
                        "{pairs?re-count|re-counts}): re-count some tagged trees"},
    {"far_tree_one", "the last tree is far off the target; the next count tells whether it was the "
                     "tree"},
    {"far_trees", "{trees} of the last trees are far off the target: for the lead, at once"},
    {"attention_far_trees", "{trees} of the last trees are far off the target: go and look"},
    {"note_two_kinds", "the trees differ so much ({cv_percent} %) that they look like two kinds"},
    {"note_bare_trees", "some counted trees carry next to nothing and are left out"},
    {"note_neighbours_alike", "trees counted one after another are alike: spread the counts wider"},
    {"note_rows_differ", "rows differ: spread the counts over more rows"},
    {"note_few_rows", "all counts are from one or two rows: it may be the row, so count in others "
                      "too"},
    {"note_little_known", "few trees are counted in this block yet: look at one or two elsewhere "
                          "before telling"},
    {"no_counts", "nothing counted yet"},
    {"no_target", "the block has no target yet"},
};

// Of trees: this one, the next one, those to count again.
const Sentence of_trees[] = {
    {"tree_take_more", "{over} {over?spur|spurs} over: take about {spurs} more"},
    {"tree_fine", "this tree is good, {over} {over?spur|spurs} off {target}"},
    {"tree_short", "{short} {short?spur|spurs} short of {target}: nothing can be put back"},
    {"next_first", "the first tree in this block"},
    {"next_new_pruner", "close together while little is known of this pruner"},
    {"next_surprise", "sooner, because the last tree was a surprise"},
    {"next_after_advice", "sooner, to see whether the change worked"},
    {"next_undecided", "a little sooner, to be sure"},
    {"next_steady", "steady work"},
    {"next_floor", "steady work: as far apart as the lead allows"},
    {"recount_no_pair", "nobody has re-counted this person yet"},
    {"recount_doubtful_counter", "it is not clear how well this person counts"},
    {"recount_odd_number", "the number on the tag looks odd"},
    {"recount_undecided", "it would settle whether to change anything"},
    {"recount_routine", "a routine look"},
};

// Of the block, the crew, the season and safety.
const Sentence of_the_rest[] = {
    {"accept_yes", "mean {mean} ({low} to {high}) lies inside the band around {target}"},
    {"accept_over", "mean {mean} ({low} to {high}) lies above the band around {target}"},
    {"accept_under", "mean {mean} ({low} to {high}) lies below the band around {target}"},
    {"accept_unsure", "mean {mean} ({low} to {high}) is not surely inside the band around "
                      "{target}"},
    {"accept_few", "{counts} {counts?count|counts}; {needed} are needed"},
    {"attention_urgent", "see now: far off by about {spurs} {spurs?spur|spurs} a tree"},
    {"attention_far_trees", "see now: {trees} of the last {trees?tree is|trees are} far off"},
    {"attention_change", "should change by about {spurs} {spurs?spur|spurs} a tree"},
    {"attention_drift", "has changed lately, by {change_percent} %"},
    {"crew_more", "leaves about {percent} % more than the others in this block; {sureness%} sure"},
    {"crew_fewer", "leaves about {percent} % fewer than the others in this block; {sureness%} "
                   "sure"},
    {"crew_alike", "leaves about as many as the others in this block"},
    {"crew_open", "not sure yet how this compares with the others in this block"},
    {"crew_few_others", "too few others have counted in this block to compare"},
    {"attention_not_counted", "the numbers may not all be counted: look at how this person counts"},
    {"attention_counting", "counts differently than before, or misses many: look at how this "
                           "person counts"},
    {"attention_spread", "the trees have become uneven"},
    {"attention_quiet", "no count for {minutes} {minutes?minute|minutes}"},
    {"attention_open", "still open after {counts} {counts?count|counts}"},
    {"attention_none", "nothing to do"},
    {"learn_none", "no tree has both a spur count and a fruit count yet"},
    {"learn_few", "only {trees} {trees?tree|trees} so far: the number leans on the usual one"},
    {"learn_ok", "learnt from {trees} {trees?tree|trees} of this block"},
    {"caution_ladder", "ladder: firm ground, three points of contact, never the top step, never "
                       "reach past the rails"},
    {"caution_tools", "saw and loppers: gloves and glasses on, other hand out of the line of the "
                      "blade, closed when walking"},
    {"caution_cold", "cold: numb hands slip; warm up, change wet gloves, mind ice on rungs"},
    {"caution_alone", "alone: somebody knows where you are and when you come back; phone on you"},
    {"caution_sprays", "sprays: stay out of a sprayed block until its re-entry time; the label and "
                       "the sign at the row rule"},
    {"caution_local_rules", "local safety rules, product labels and trained people come first"},
    {"brief_no_before_counts", "nobody has counted unpruned trees: how much to take is not known"},
    {"brief_target_loose", "the target is loose, {low} to {high}: cut open more buds"},
    {"brief_stride", "one tree in {stride} meets only {places} of the {row} places in a row: one "
                     "in {better} is better"},
    {"brief_stride_near", "one tree in {stride} leaves {unseen} neighbouring places of a row of "
                          "{row} unseen: one in {better} is better"},
};

// Of when to prune, and of next winter.
const Sentence of_the_time[] = {
    {"when_short", "unpruned trees carry about {spurs} {spurs?spur|spurs}, and {target} are to be "
                   "left"},
    {"when_few_floral", "only {percent} of 100 buds are floral"},
    {"when_count_trees", "count a few unpruned trees to be sure"},
    {"when_biennial", "the variety bears every other year, and nobody has looked into this one"},
    {"when_cut_buds", "cut buds open to know, or wait until clusters show"},
    {"when_weak", "{weak} of {trees} trees looked at are weak: late cuts throw away reserves that "
                  "are already in the buds"},
    {"when_heavy", "unpruned trees carry about {spurs} {spurs?spur|spurs}, and {target} are to be "
                   "left: late cuts throw away reserves that are already in the buds"},
    {"when_variety", "so it is usual for this variety"},
    {"when_no_hurry", "nothing known of this block says earlier or later"},
    {"next_set_less", "fewer fruits set than the factor insures: {percent} on 100 flowering spurs"},
    {"next_set_more", "more fruits set than the factor insures: {percent} on 100 flowering spurs"},
    {"next_set_as_thought", "fruits set about as the factor has it"},
    {"next_off_year", "few spurs bloom again: expect an off-year, and cut buds before deciding"},
    {"next_on_year", "most spurs bloom again: expect an on-year, and cut buds before deciding"},
};

// Of going back and of tomorrow.
const Sentence of_evening[] = {
    {"back_over", "about {over} {over?spur|spurs} a tree too many ({low} to {high})"},
    {"back_counts", "{counts} {counts?count|counts} at that time"},
    {"back_inferred", "some of these rows were not logged: who pruned them is inferred from "
                      "counts"},
    {"back_pays", "{chance%} likely to pay"},
    {"back_look", "count {trees} {trees?tree|trees} there first: looking is worth more than "
                  "acting"},
    {"back_dear", "taking a spur off there costs more than it saves"},
    {"back_short", "about {short} {short?spur|spurs} a tree too few: nothing can be put back"},
    {"back_late", "does not fit into the hours left"},
    {"back_second_pass", "fits only after green tip, in the second pass"},
    {"gang_stays", "stays where it is"},
    {"gang_moves", "goes to another block"},
    {"gang_saves", "the whole plan saves about {trees} {trees?tree|trees} from being late"},
    {"gang_late", "even so {chance%} likely to be in time; about {trees} {trees?tree|trees} late"},
};

// A number as it is said. "100 % sure" is never true of anything counted.
std::string said(double value, bool percent) {
  const double number = value * (percent ? 100 : 1);
  if (percent && number > 99.5 && number < 100) return "over 99 %";
  return base::print(percent ? "%.0f %%" : "%.0f", std::round(number) == 0 ? 0.0 : number);
}

// What stands between the braces: "spurs", "sureness%", "spurs?spur|spurs".
std::string filled_in(const std::string& place, const advice::Reason& reason) {
  const std::size_t choice = place.find('?');
  if (choice == std::string::npos) {
    const bool percent = !place.empty() && place.back() == '%';
    return said(reason.number(percent ? place.substr(0, place.size() - 1) : place), percent);
  }
  const std::size_t bar = place.find('|', choice);
  const std::string number = said(reason.number(place.substr(0, choice)), false);
  const bool one = number == "1" || number == "-1";
  return one ? place.substr(choice + 1, bar - choice - 1) : place.substr(bar + 1);
}

std::string filled(const char* text, const advice::Reason& reason) {
  std::string out;
  for (const char* at = text; *at; ++at) {
    const char* end = *at == '{' ? std::strchr(at, '}') : nullptr;
    if (!end) {
      out += *at;
      continue;
    }
    out += filled_in(std::string(at + 1, end), reason);
    at = end;
  }
  return out;
}

}  // namespace

std::string sentence(const advice::Reason& reason) {
  using Part = std::span<const Sentence>;
  for (const Part part : {Part(of_verdicts), Part(of_trees), Part(of_the_rest), Part(of_the_time),
                          Part(of_evening)}) {
    for (const Sentence& one : part) {
      if (reason.id == one.id) return filled(one.text, reason);
    }
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
    case advice::Remedy::call_lead: return "call the lead";
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

std::string word_of(advice::AgainstCrewKind kind) {
  switch (kind) {
    case advice::AgainstCrewKind::too_few_others: return "too few others";
    case advice::AgainstCrewKind::open: return "open";
    case advice::AgainstCrewKind::more: return "more";
    case advice::AgainstCrewKind::fewer: return "fewer";
    case advice::AgainstCrewKind::alike: return "alike";
  }
  return "";
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
