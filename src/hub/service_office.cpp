// SPDX-License-Identifier: Apache-2.0
//
// What a manager's phone may ask beyond its records: who has joined as what, another code, a key
// changed or withdrawn, what a key brought taken out of the numbers, a name forgotten.
#include <algorithm>

#include "hub/keys_sqlite.h"
#include "hub/service.h"
#include "ledger/body_fields.h"
#include "ledger/json_text.h"

namespace nthtree::hub {
namespace {

using ledger::json_quoted;
using nlohmann::json;

std::string text_or(const json& object, const char* name, std::size_t bytes_max) {
  const auto found = object.find(name);
  if (found == object.end() || !found->is_string()) return "";
  const std::string& text = found->get_ref<const std::string&>();
  return text.size() <= bytes_max ? text : "";
}

std::int64_t number_or(const json& object, const char* name, std::int64_t other) {
  const auto found = object.find(name);
  return found != object.end() && found->is_number_integer() ? found->get<std::int64_t>() : other;
}

bool flag(const json& object, const char* name) {
  const auto found = object.find(name);
  return found != object.end() && found->is_boolean() && found->get<bool>();
}

std::string field(const char* name, const std::string& text) {
  return std::string("\"") + name + "\":" + json_quoted(text);
}
std::string field(const char* name, std::int64_t number) {
  return std::string("\"") + name + "\":" + std::to_string(number);
}

struct Standings {  // of what a key brought
  std::int64_t hearsay = 0, aside = 0;
};

std::string key_text(const KeyOfPhone& key, const KeyUse& use, const Standings& standings) {
  return "{" + field("id", key.id) + ',' + field("name", key.name) + ',' +
         field("person", key.person) + ',' + field("role", role_name(key.role)) + ',' +
         field("joined_ms", key.joined_ms) + ',' + field("withdrawn_ms", key.withdrawn_ms) + ',' +
         field("records", static_cast<std::int64_t>(use.records)) + ',' +
         field("last_ms", use.last_ms) + ',' + field("hearsay", standings.hearsay) + ',' +
         field("aside", standings.aside) + '}';
}

// The answer, or why there is none.
base::Result<std::string> list_keys(Store& store, std::int64_t asking,
                                    const std::string& backup) {
  const auto keys = store.keys();
  if (!keys) return keys.error();
  auto uses = store.uses_of_keys();
  std::map<std::int64_t, Standings> standings;
  store.each_held([&](const sync::HeldRecord& held) {
    if (held.standing.usual()) return;
    Standings& its = standings[held.sender];
    its.hearsay += held.standing.rank == sync::Rank::hearsay;
    its.aside += !held.standing.aside.empty();
  });
  std::string text;
  for (const KeyOfPhone& key : *keys) {
    text += (text.empty() ? "" : ",") + key_text(key, uses[key.id], standings[key.id]);
  }
  return "{\"v\":1," + field("asking", asking) + backup + ",\"keys\":[" + text + "]}";
}

// Of one farm there is always a key that can undo what another did.
bool is_last_manager(const std::vector<KeyOfPhone>& keys, std::int64_t id) {
  return std::none_of(keys.begin(), keys.end(), [&](const KeyOfPhone& key) {
    return key.id != id && key.withdrawn_ms == 0 && key.role == orchard::Role::manager;
  });
}

base::Result<std::string> change_key(Store& store, sync::HubSide& side, const json& asked,
                                     std::int64_t now_ms) {
  const std::int64_t id = number_or(asked, "id", 0);
  const auto keys = store.keys();
  if (!keys) return keys.error();
  const auto key = std::find_if(keys->begin(), keys->end(),
                                [&](const KeyOfPhone& k) { return k.id == id; });
  if (key == keys->end()) return base::Error{"no_such_key", "there is no key of this number", "id"};
  const std::string name = text_or(asked, "name", sync::device_name_bytes_max);
  const auto role = role_named(text_or(asked, "role", 16));
  const std::string person =
      asked.contains("person") ? text_or(asked, "person", ledger::id_bytes_max) : key->person;
  KeyOfPhone changed = *key;
  if (!name.empty()) changed.name = name;
  changed.role = role.value_or(key->role);
  changed.person = person;
  const bool steps_down = flag(asked, "withdraw") || changed.role != orchard::Role::manager;
  if (key->role == orchard::Role::manager && steps_down && is_last_manager(*keys, id)) {
    return base::Error{"last_manager", "another phone must be a manager's first", "id"};
  }
  store.change_key(id, changed.name, {changed.role, person, ""});
  const bool may_more = changed.role > key->role || person != key->person;
  const std::uint64_t counted = may_more ? side.judge_again(sender_of(changed), now_ms) : 0;
  if (flag(asked, "withdraw")) store.withdraw_key(id, now_ms);
  std::uint64_t records = 0, back = counted;
  if (flag(asked, "count_again")) back += side.count_again(sender_of(changed), now_ms);
  if (const std::int64_t since_ms = number_or(asked, "set_aside_since_ms", -1); since_ms >= 0) {
    records = side.set_aside_all_of(id, since_ms, now_ms);
  }
  return "{\"v\":1," + field("set_aside", static_cast<std::int64_t>(records)) + ',' +
         field("counted", static_cast<std::int64_t>(back)) + '}';
}

// All settings of a person but the latest go, which the manager has given another name.
base::Result<std::string> forget_name(Store& store, sync::HubSide& side, const json& asked) {
  const std::string person = text_or(asked, "person", ledger::id_bytes_max);
  if (person.empty()) return base::Error{"bad_message", "must be a person", "person"};
  std::vector<ledger::FoldPosition> settings;
  store.each_held([&](const sync::HeldRecord& held) {
    const auto record = ledger::read_record(held.bytes);
    const auto* its = record ? std::get_if<ledger::PersonSettings>(&record->body) : nullptr;
    if (its && its->person.id == person) settings.push_back(record->position());
  });
  std::sort(settings.begin(), settings.end());
  if (!settings.empty()) settings.pop_back();
  for (const ledger::FoldPosition& position : settings) side.remove(position.id);
  return "{\"v\":1," + field("removed", static_cast<std::int64_t>(settings.size())) + '}';
}

}  // namespace

bool is_office(std::string_view path) {
  return path == path_keys || path == path_change_key || path == path_code || path == path_forget;
}

void Service::handle_office(const HttpRequest& request, const Done& done) {
  const auto phone = keys_.find(secret_of(request));
  if (!phone) return done(refuse_key(secret_of(request)));
  if (phone->role != orchard::Role::manager) {
    return done(error_reply(403, "not_manager", "only a manager's phone may ask this"));
  }
  const auto asked = ledger::parse_json(request.body, {office_bytes_max, 3});
  if (!asked || !asked->is_object()) {
    return done(error_reply(400, "bad_message", "the body must be a JSON object"));
  }
  const std::string path = request.target.substr(0, request.target.find('?'));
  if (path == path_code) return give_code(*asked, done);
  const auto answer = std::make_shared<base::Result<std::string>>(std::string());
  writer_.run(
      [=, this, body = *asked, id = phone->id](Store& store, sync::HubSide& side) {
        const std::int64_t now_ms = settings_.wall_ms();
        *answer = path == path_keys         ? list_keys(store, id, backup_fields())
                  : path == path_change_key ? change_key(store, side, body, now_ms)
                                            : forget_name(store, side, body);
        read_keys(store);
      },
      [=, this](const base::Status& status) {
        if (!status) return done(reply(503, sync::write_error(status.error())));
        if (!*answer) return done(reply(400, sync::write_error(answer->error())));
        done(reply(200, **answer));
      });
}

void Service::give_code(const nlohmann::json& asked, const Done& done) {
  const auto role = role_named(text_or(asked, "role", 16));
  if (!role) return done(error_reply(400, "bad_message", "role is pruner, lead or manager"));
  const CodeFor who{*role, text_or(asked, "person", ledger::id_bytes_max),
                    text_or(asked, "name", sync::device_name_bytes_max)};
  make_code(who, settings_.code_minutes,
            [=, this](const base::Status& status, const std::string& code) {
              if (!status) return done(reply(503, sync::write_error(status.error())));
              done(reply(200, "{\"v\":1," + field("code", code) + ',' +
                                  field("minutes", settings_.code_minutes) + '}'));
            });
}

}  // namespace nthtree::hub
