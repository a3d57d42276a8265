// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/wording.h"

#include <algorithm>
#include <cmath>

#include "advice/judged/remedy.h"
#include "base/clock.h"
#include "base/text.h"
#include "widgets/any_script.h"
#include "widgets/language.h"

namespace nthtree::screens {
namespace {

using widgets::number;
using widgets::tr;
using widgets::tr_count;


bool is_spurs(const std::string& name) { return name == "spurs"; }

std::string number_text(const std::string& name, double value) {
  if (is_spurs(name)) return whole(as_said(value));
  if (name == "change_percent") return whole(std::fabs(value));
  if (name == "times" || name == "minutes_a_tree") return number(value, 1);
  if (name == "chance") return chance_text(value);
  return whole(std::fabs(value));
}

}  // namespace

double as_said(double spurs) {
  const double size = std::fabs(spurs);
  return size < 20 ? std::round(size) : 5 * std::round(size / 5);
}

std::string tree_text(orchard::TreeAddress tree) {
  return tr("tree_place", {{"row", number(static_cast<long>(tree.row))},
                           {"tree", number(static_cast<long>(tree.tree))}});
}

std::string no_tree_text(const orchard::Block& block, orchard::TreeAddress tree) {
  return tr("count.no_tree", {{"tree", tree_text(tree)},
                              {"rows", whole(block.rows)},
                              {"trees", whole(block.trees_in_row(tree.row))}});
}

std::string tree_in_text(orchard::TreeAddress tree) {
  return tr("tree_in_text", {{"row", number(static_cast<long>(tree.row))},
                             {"tree", number(static_cast<long>(tree.tree))}});
}

std::string whole(double value) {
  return number(std::isfinite(value) ? std::lround(value) : 0L);
}

std::string range_text(double low, double high) {
  return tr("range", {{"low", whole(low)}, {"high", whole(high)}});
}

std::string of_100(double share) { return whole(100 * share); }

std::string chance_text(double chance) {
  if (chance > 0.99) return tr("chance.over", {{"n", whole(99)}});
  if (chance < 0.01) return tr("chance.under", {{"n", whole(1)}});
  return of_100(chance);
}

std::string money_text(const ledger::Season& season, double amount) {
  std::string currency = season.farm().currency;
  if (currency.empty()) return whole(amount);
  // "$1,240", but "CAD 1,240": letters stand apart.
  const unsigned char last = static_cast<unsigned char>(currency.back());
  const bool letters = (last >= 'A' && last <= 'Z') || (last >= 'a' && last <= 'z');
  return tr(letters ? "format.money_letters" : "format.money",
            {{"currency", std::move(currency)}, {"n", whole(amount)}});
}

std::string signed_whole(double value) {
  const long n = std::lround(value);
  return (n > 0 ? "+" : n < 0 ? "−" : "") + number(std::labs(n));
}

std::string signed_percent(double share) {
  return (share > 0 ? "+" : share < 0 ? "−" : "") + widgets::percent(std::fabs(share));
}

std::string date_text(std::int64_t day) {
  const std::string iso = base::iso_minute(day * base::day_ms);
  const int month = std::atoi(iso.substr(5, 2).c_str());
  return tr("format.date", {{"day", std::to_string(std::atoi(iso.substr(8, 2).c_str()))},
                            {"month", tr("month." + std::to_string(month))}});
}

std::string date_year_text(std::int64_t day) {
  const std::string year = base::iso_minute(day * base::day_ms).substr(0, 4);
  return tr("format.date_year", {{"date", date_text(day)}, {"year", year}});
}

std::string day_text(std::int64_t day, std::int64_t today) {
  if (day == today) return tr("today");
  if (day == today - 1) return tr("yesterday");
  return date_text(day);
}

std::string when_text(std::int64_t at_ms, std::int64_t now_ms) {
  const std::int64_t minutes = (now_ms - at_ms) / 60000;
  if (minutes < 1) return tr("just_now");
  if (minutes < 60) return tr("minutes_ago", {{"n", std::to_string(minutes)}});
  const std::int64_t hours = minutes / 60;
  if (hours < 36) return tr("hours_ago", {{"n", std::to_string(hours)}});
  return tr("days_ago", {{"n", std::to_string((hours + 12) / 24)}});  // two at least
}

std::string short_number(double value) {
  const int decimals = value == std::floor(value)                               ? 0
                       : std::fabs(value * 10 - std::round(value * 10)) < 1e-6 ? 1
                                                                                : 2;
  return number(value, decimals);
}

std::string clock_text(const ledger::Season& season, std::int64_t at_ms) {
  const std::int64_t offset_ms = season.time_zone().offset_minutes(at_ms) * std::int64_t{60000};
  return base::iso_minute(at_ms + offset_ms).substr(11);
}

std::string time_text(const ledger::Season& season, std::int64_t at_ms) {
  return date_text(season.day_of(at_ms)) + " " + clock_text(season, at_ms);
}

int bearers_of(const ledger::Season& season, const std::string& name) {
  return static_cast<int>(std::count_if(
      season.people().begin(), season.people().end(),
      [&](const auto& known) { return known.second.name == name; }));
}

std::string person_text(const ledger::Season& season, const std::string& id) {
  const orchard::Person* person = season.person(id);
  if (!person) return id;
  const std::string name = widgets::isolated(person->name);
  if (bearers_of(season, person->name) < 2) return name;
  int number = 0;
  for (const auto& [other, known] : season.people()) {
    number += known.name == person->name;
    if (other == id) break;
  }
  return name + " (" + std::to_string(number) + ")";
}

std::string block_text(const ledger::Season& season, const std::string& id) {
  const ledger::BlockSeason* block = season.block(id);
  if (block && block->block && !block->block->name.empty()) {
    return widgets::isolated(block->block->name);
  }
  return tr("block.unnamed", {{"id", id}});
}

std::string role_text(orchard::Role role) {
  switch (role) {
    case orchard::Role::pruner: return tr("role.pruner");
    case orchard::Role::lead: return tr("role.lead");
    case orchard::Role::manager: break;
  }
  return tr("role.manager");
}

std::string reason_text(const advice::Reason& reason) {
  if (reason.id.empty()) return "";
  widgets::Arguments arguments;
  for (const auto& [name, value] : reason.numbers) {
    arguments.emplace_back(name, number_text(name, value));
  }
  return tr("reason." + reason.id, arguments);
}

widgets::VerdictSign verdict_sign(advice::VerdictKind kind) {
  switch (kind) {
    case advice::VerdictKind::harder: return widgets::VerdictSign::harder;
    case advice::VerdictKind::lighter: return widgets::VerdictSign::lighter;
    case advice::VerdictKind::on_target: return widgets::VerdictSign::on_target;
    case advice::VerdictKind::count_more: break;
  }
  return widgets::VerdictSign::count_more;
}

std::string verdict_word(const advice::Verdict& verdict) {
  if (verdict.reason.id == "no_target") return tr("verdict.no_target");
  return tr("verdict." + advice::name_of(verdict));
}

std::string verdict_figure(const advice::Verdict& verdict) {
  const bool changes = verdict.kind == advice::VerdictKind::harder ||
                       verdict.kind == advice::VerdictKind::lighter;
  const double spurs = as_said(verdict.over_target.value);
  return changes && spurs > 0 ? whole(spurs) : "";
}

std::string verdict_line(const advice::Verdict& verdict) {
  const std::string figure = verdict_figure(verdict);
  return verdict_word(verdict) + (figure.empty() ? "" : " " + figure);
}

std::string sign_text(advice::CountingSign sign) {
  switch (sign) {
    case advice::CountingSign::copies: return tr("agreement.sign.copies");
    case advice::CountingSign::digits: return tr("agreement.sign.digits");
    case advice::CountingSign::too_even: return tr("agreement.sign.too_even");
    case advice::CountingSign::ratio_moved: return tr("agreement.sign.ratio_moved");
    case advice::CountingSign::misses_many: break;
  }
  return tr("agreement.sign.misses_many");
}

std::string signs_text(const advice::Counter& counter) {
  std::string text;
  for (const advice::CountingSign sign : counter.signs) {
    text += (text.empty() ? "" : " ") + sign_text(sign);
  }
  return text;
}

std::string limbs_text(const std::string& key, double limbs) {
  const double full = std::floor(limbs + 0.25);
  const std::string half = limbs - full >= 0.25 ? "½" : "";
  return tr(key + (full == 1 && half.empty() ? ".one" : ".other"), {{"n", whole(full) + half}});
}

std::string hands_text(const advice::HandTerms& hands, bool fewer) {
  const std::string end = fewer ? ".fewer" : ".more";
  switch (hands.unit) {
    case advice::HandUnit::none: return "";
    case advice::HandUnit::spurs_on_each_limb:
      return tr("hands.spurs_on_each_limb" + end, {{"n", whole(hands.amount)}});
    case advice::HandUnit::limbs: return limbs_text("hands.limbs", hands.amount);
    case advice::HandUnit::spurs_on_the_tree: break;
  }
  return tr("hands.spurs_on_the_tree" + end, {{"n", whole(hands.amount)}});
}

std::string labelled(const std::string& label, const std::string& value) {
  return tr("format.labelled", {{"label", label}, {"value", value}});
}

std::string direction_text(ledger::Direction direction, int spurs, const std::string& name) {
  const char* kind = direction == ledger::Direction::harder    ? "harder"
                     : direction == ledger::Direction::lighter ? "lighter"
                                                               : "on_target";
  return tr(std::string("advice.say.") + kind, {{"name", name}, {"n", whole(spurs)}});
}

std::string told_text(const ledger::Advice& told, const std::string& name) {
  const std::string words = direction_text(told.direction, told.spurs_per_tree_to_change, name);
  return told.note.empty() ? words : words + " " + widgets::isolated(told.note);
}

std::string step_text(ledger::BlockStep step) {
  switch (step) {
    case ledger::BlockStep::started: return tr("lead.progress.started");
    case ledger::BlockStep::finished: return tr("lead.progress.finished");
    case ledger::BlockStep::accepted: return tr("lead.progress.accepted");
    case ledger::BlockStep::revisit: break;
  }
  return tr("lead.progress.revisit");
}

std::string tree_kind_text(ledger::TreeKind kind) {
  constexpr const char* keys[] = {"tree.bearing", "tree.missing", "tree.replant",
                                  "tree.pollinizer", "tree.other_variety"};
  return tr(keys[static_cast<std::size_t>(kind)]);
}

std::string refused_text(const std::string& why) {
  return tr(why == "key_withdrawn" ? "sync.link.withdrawn"
            : why == "key_unknown" ? "sync.link.unknown"
                                   : "sync.link.refused");
}

std::string trouble_text(const std::string& trouble) {
  for (const char* known : {"full", "read_only", "closed", "role_person", "role_phone"}) {
    if (trouble == known) return tr("saved." + trouble);
  }
  return tr("saved.other", {{"value", trouble}});
}

}  // namespace nthtree::screens
