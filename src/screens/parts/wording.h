// SPDX-License-Identifier: Apache-2.0
//
// Values of the engine as words of the present language: trees, days, verdicts, reasons. The only
// place in which an advice id meets a language key.
//
// Private to this folder. Every function gives a finished text; none gives a key back.
#pragma once

#include <cstdint>
#include <string>

#include "advice/hand_terms.h"
#include "advice/known/counting_bias.h"
#include "advice/reason.h"
#include "advice/judged/verdict.h"
#include "ledger/season.h"
#include "orchard/person.h"
#include "orchard/tree_address.h"
#include "screens/session.h"
#include "widgets/reading.h"

namespace nthtree::screens {

std::string tree_text(orchard::TreeAddress tree);            // "Row 4, tree 17"
std::string tree_in_text(orchard::TreeAddress tree);         // "row 4, tree 17"
// That the block has no such tree, and which it has.
std::string no_tree_text(const orchard::Block& block, orchard::TreeAddress tree);
std::string whole(double value);                             // "1,234", never "−0"
std::string short_number(double value);                      // "1.8", "4": two decimals at most
std::string range_text(double low, double high);             // "124 to 168"
std::string of_100(double share);                            // 0.08 → "8"
std::string chance_text(double chance);                      // 0.08 → "8"; 1 → "over 99"
// An amount in the farm's own money: "$1,240", "1 240 $", without its sign where none is set.
std::string money_text(const ledger::Season& season, double amount);
std::string signed_whole(double value);                      // "+12", "−3", "0"
std::string signed_percent(double share);                    // -0.25 → "−25 %"

std::string day_text(std::int64_t day, std::int64_t today);  // "today", "25 Nov"
std::string date_text(std::int64_t day);                     // "25 Nov"
std::string date_year_text(std::int64_t day);                // "25 Nov 2026"
std::string when_text(std::int64_t at_ms, std::int64_t now_ms);  // "12 min ago"
std::string clock_text(const ledger::Season& season, std::int64_t at_ms);  // "14:05"
std::string time_text(const ledger::Season& season, std::int64_t at_ms);  // "25 Nov 14:05"

// The name; with a number behind where others bear the same: "Ana (2)".
std::string person_text(const ledger::Season& season, const std::string& id);
int bearers_of(const ledger::Season& season, const std::string& name);
std::string block_text(const ledger::Season& season, const std::string& id);
std::string role_text(orchard::Role role);

// A change as people say it: from 20 up the nearest five, since nobody cuts 41 spurs. Without sign.
double as_said(double spurs);

// One sentence for an advice reason, with its numbers rounded as people say them.
std::string reason_text(const advice::Reason& reason);

widgets::VerdictSign verdict_sign(advice::VerdictKind kind);
std::string verdict_word(const advice::Verdict& verdict);    // "HARDER"
std::string verdict_figure(const advice::Verdict& verdict);  // "24", empty where none is told
std::string verdict_line(const advice::Verdict& verdict);    // "HARDER 24", for lists

std::string sign_text(advice::CountingSign sign);            // "The numbers are too even …"
std::string signs_text(const advice::Counter& counter);      // all of them; empty where none

// "about two fewer on each limb"; empty where there is nothing to change.
// Whole and half limbs, "1", "1½", under key.one or key.other.
std::string limbs_text(const std::string& key, double limbs);
std::string hands_text(const advice::HandTerms& hands, bool fewer);

// "The day: 5 Feb", with the space that a language puts before its colon.
std::string labelled(const std::string& label, const std::string& value);

std::string direction_text(ledger::Direction direction, int spurs, const std::string& name);
// The same as it was said to that person, with what the lead added.
std::string told_text(const ledger::Advice& told, const std::string& name);

std::string step_text(ledger::BlockStep step);  // "Accepted"
std::string tree_kind_text(ledger::TreeKind kind);  // "Missing", "Replanted, too young to bear"

// Why the hub takes this phone's key no more, an id of its, in words of what to do.
std::string refused_text(const std::string& why);

// Kept ledger trouble ids in words of what to do.
std::string trouble_text(const std::string& trouble);

}  // namespace nthtree::screens
