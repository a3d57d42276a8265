// SPDX-License-Identifier: Apache-2.0
#include "app/office.h"

#include "ledger/body_fields.h"
#include "ledger/json_text.h"

namespace nthtree::app {
namespace {

using ledger::json_quoted;
using nlohmann::json;

constexpr std::int64_t patience_ms = 10000;
constexpr ledger::JsonLimits answer_limits{.bytes_max = 1 << 20, .depth_max = 4};

std::string field(const char* name, std::string_view text) {
  return std::string(",\"") + name + "\":" + json_quoted(text);
}

std::string text_of(const json& object, const char* name) {
  const auto found = object.find(name);
  return found != object.end() && found->is_string() ? found->get<std::string>() : "";
}

std::int64_t number_of(const json& object, const char* name) {
  const auto found = object.find(name);
  return found != object.end() && found->is_number_integer() ? found->get<std::int64_t>() : 0;
}

// A role this version does not know may do least.
orchard::Role role_of(const json& object) {
  return sync::role_named(text_of(object, "role")).value_or(orchard::Role::pruner);
}

screens::JoinedPhone phone_of(const json& entry) {
  return {number_of(entry, "id"),           text_of(entry, "name"),
          text_of(entry, "person"),         role_of(entry),
          number_of(entry, "joined_ms"),    number_of(entry, "withdrawn_ms"),
          number_of(entry, "last_ms"),      number_of(entry, "records"),
          number_of(entry, "hearsay"),      number_of(entry, "aside")};
}

screens::PhonesTold phones_of(const json& answer) {
  screens::PhonesTold told;
  told.own = number_of(answer, "asking");
  told.backup_ms = number_of(answer, "backup_ms");
  const auto old = answer.find("backup_old");
  told.backup_old = old != answer.end() && old->is_boolean() && old->get<bool>();
  const auto keys = answer.find("keys");
  if (keys == answer.end() || !keys->is_array()) return told;
  for (const json& entry : *keys) {
    if (entry.is_object()) told.list.push_back(phone_of(entry));
  }
  return told;
}

}  // namespace

void Office::list() { ask(sync::path_keys, "{\"v\":1}"); }

void Office::change(const screens::ChangePhone& wish) {
  std::string body = "{\"v\":1,\"id\":" + std::to_string(wish.id);
  if (wish.name) body += field("name", *wish.name);
  if (wish.person) body += field("person", *wish.person);
  if (wish.role) body += field("role", sync::role_name(*wish.role));
  if (wish.withdraw) body += ",\"withdraw\":true";
  if (wish.count_again) body += ",\"count_again\":true";
  if (wish.set_aside_since_ms) {
    body += ",\"set_aside_since_ms\":" + std::to_string(*wish.set_aside_since_ms);
  }
  ask(sync::path_change_key, body + '}');
}

void Office::give_code(const screens::GiveCode& wish) {
  ask(sync::path_code, std::string("{\"v\":1") + field("role", sync::role_name(wish.role)) +
                           field("person", wish.person) + field("name", wish.name) + '}');
}

void Office::forget(const screens::ForgetNames& wish) {
  ask(sync::path_forget, std::string("{\"v\":1") + field("person", wish.person) + '}');
}

void Office::ask(std::string_view path, std::string body) {
  const std::string& bearer = context_.client.bearer();
  if (bearer.empty()) return context_.tell(screens::PhonesRefused{"alone"});
  context_.tell(screens::PhonesAsked{});
  const RequestId id = context_.next_request();
  asked_[id] = path;
  context_.platform.http(id, "POST", path, bearer, body, patience_ms);
}

bool Office::http_done(RequestId id, int status, std::string_view body) {
  const auto found = asked_.find(id);
  if (found == asked_.end()) return false;
  const std::string path = found->second;
  asked_.erase(found);
  const auto answer = status > 0 ? ledger::parse_json(body, answer_limits)
                                 : base::Result<json>(base::Error{"no_answer", "", ""});
  if (!answer || !answer->is_object()) {  // a captive portal answers with a page of its own
    context_.tell(screens::PhonesRefused{"no_answer"});
  } else if (status != 200) {
    context_.tell(screens::PhonesRefused{text_of(*answer, "error")});
  } else if (path == sync::path_keys) {
    context_.tell(phones_of(*answer));
  } else if (path == sync::path_code) {
    context_.tell(screens::CodeGiven{text_of(*answer, "code"),
                                     static_cast<int>(number_of(*answer, "minutes"))});
    list();
  } else {
    const bool forgot = path == sync::path_forget;
    context_.tell(screens::PhoneChanged{number_of(*answer, "set_aside"),
                                        number_of(*answer, "counted"),
                                        forgot ? number_of(*answer, "removed") : -1});
    list();
  }
  return true;
}

}  // namespace nthtree::app
