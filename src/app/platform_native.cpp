// SPDX-License-Identifier: Apache-2.0
#include "app/platform_native.h"

#include <algorithm>
#include <cstring>

#include "base/text.h"
#include "sync/digest.h"

namespace nthtree::app {

void PlatformNative::deliver() {
  while (!waiting_.empty()) {
    const std::function<void()> answer = std::move(waiting_.front());
    waiting_.pop_front();
    answer();
  }
}

void PlatformNative::advance(std::int64_t by_ms) {
  const std::int64_t end = now_ms + by_ms;
  while (wake_at_ms_ >= 0 && wake_at_ms_ <= end) {
    now_ms = std::max(now_ms, wake_at_ms_);
    wake_at_ms_ = -1;
    ++wakes;
    events_->on_wake();
    deliver();
  }
  now_ms = end;
}

void PlatformNative::random_bytes(void* to, std::size_t bytes) {
  for (std::size_t at = 0; at < bytes; at += 8) {
    const std::uint64_t bits = random_.next();
    std::memcpy(static_cast<char*>(to) + at, &bits, std::min<std::size_t>(8, bytes - at));
  }
}

void PlatformNative::schedule_wake(std::int64_t delay_ms) {
  const std::int64_t at = now_ms + std::max<std::int64_t>(1, delay_ms);
  wake_at_ms_ = wake_at_ms_ < 0 ? at : std::min(wake_at_ms_, at);
}

void PlatformNative::store_load() {
  waiting_.push_back([this] {
    records_read_ = 0;
    if (load_fails) return events_->on_store_load_failed("closed");
    const auto listed = [](const std::map<std::string, std::string>& from) {
      std::vector<MetaChange> list;
      for (const auto& [key, value] : from) list.push_back({key, value});
      return list;
    };
    events_->on_store_named(listed(meta), listed(drafts),
                            static_cast<std::int64_t>(records.size()));
    load_rests ? read_half() : read_rest();
  });
}

void PlatformNative::read_half() {
  std::vector<std::string_view> views;
  for (const auto& [key, json] : records) {
    if (views.size() < records.size() / 2) views.push_back(json);
  }
  records_read_ = views.size();
  events_->on_store_records(views);
}

void PlatformNative::read_rest() {
  std::vector<std::string_view> views;
  for (const auto& [key, json] : records) views.push_back(json);
  views.erase(views.begin(),
              views.begin() + static_cast<std::ptrdiff_t>(std::exchange(records_read_, 0)));
  events_->on_store_records(views);
  events_->on_store_loaded(0);
}

void PlatformNative::change_named(const std::vector<MetaChange>& changes) {
  for (const MetaChange& change : changes) {
    const bool draft = change.key.rfind("draft:", 0) == 0;
    auto& named = draft ? drafts : meta;
    const std::string key = draft ? change.key.substr(6) : change.key;
    if (change.value.empty()) named.erase(key);
    else named[key] = change.value;
  }
}

void PlatformNative::write(RequestId id, const std::function<void()>& change) {
  waiting_.push_back([this, id, change] {
    ++writes;
    if (next_outcome == StoreOutcome::saved) change();
    events_->on_store_done(id, next_outcome, "");
  });
}

void PlatformNative::store_append(RequestId id, const std::vector<StoredRecord>& records_to_add,
                                  const std::vector<MetaChange>& changes) {
  store_change(id, records_to_add, {}, changes);
}

void PlatformNative::store_change(RequestId id, const std::vector<StoredRecord>& puts,
                                  const std::vector<StoredName>& drops,
                                  const std::vector<MetaChange>& changes) {
  write(id, [this, puts, drops, changes] {
    for (const StoredRecord& record : puts) records[{record.device, record.sequence}] = record.json;
    for (const StoredName& drop : drops) records.erase({drop.device, drop.sequence});
    change_named(changes);
  });
}

void PlatformNative::store_put_meta(RequestId id, std::string_view key, std::string_view value) {
  const MetaChange change{std::string(key), std::string(value)};
  write(id, [this, change] { change_named({change}); });
}

void PlatformNative::store_put_draft(RequestId id, std::string_view key, std::string_view json) {
  const MetaChange change{"draft:" + std::string(key), std::string(json)};
  write(id, [this, change] { change_named({change}); });
}

void PlatformNative::http(RequestId id, std::string_view method, std::string_view path,
                          std::string_view bearer, std::string_view body, std::int64_t) {
  requests.push_back({id, std::string(method), std::string(path), std::string(bearer),
                      std::string(body)});
}

void PlatformNative::fetch_asset(RequestId id, std::string_view name) {
  const auto found = assets.find(std::string(name));
  waiting_.push_back([this, id, body = found == assets.end() ? std::string() : found->second] {
    events_->on_http_done(id, body.empty() ? 404 : 200, body);
  });
}

void PlatformNative::add_to_file(std::string_view bytes) {
  file_begun_ += bytes;
  file_part_bytes_most = std::max(file_part_bytes_most, bytes.size());
}

void PlatformNative::save_file(std::string_view name, std::string_view mime,
                               std::string_view bytes, bool share) {
  add_to_file(bytes);
  files.push_back({std::string(name), std::string(mime), std::exchange(file_begun_, {}), share});
}

void PlatformNative::send_text(std::string_view name, std::string_view text) {
  files.push_back({std::string(name), "text/plain", std::string(text), true});
}

// Not the browser's PBKDF2, which browser/lock.test.mjs holds against published values: any digest
// of secret, salt and rounds shows here what the app makes of the answer.
void PlatformNative::stretch(RequestId id, std::string_view secret, std::string_view salt,
                             int rounds) {
  const std::string all =
      std::string(secret) + "/" + std::string(salt) + "/" + std::to_string(rounds);
  std::string text = has_web_crypto ? "" : "no WebCrypto";
  for (const std::uint8_t byte : sync::sha256(all)) {
    if (has_web_crypto) text += base::print("%02x", byte);
  }
  waiting_.push_back([this, id, text] { events_->on_lock(id, has_web_crypto, text); });
}

void PlatformNative::ask_phone_lock(RequestId id, std::string_view credential) {
  const bool opens = phone_lock_opens.value_or(false);
  const std::string made = credential.empty() ? "c0ffee" : std::string(credential);
  waiting_.push_back([this, id, opens, made] { events_->on_lock(id, opens, opens ? made : "no"); });
}

void PlatformNative::make_codes(RequestId id, std::string_view content) {
  codes.clear();
  for (std::size_t at = 0; at < content.size(); at += bytes_a_code) {
    codes.emplace_back(content.substr(at, bytes_a_code));
  }
  const int count = static_cast<int>(codes.size());
  waiting_.push_back([this, id, count] { events_->on_codes(id, count, ""); });
}

void PlatformNative::draw_code(int code) {
  codes_drawn.push_back(code);
  // Not a real code: a square of its number in stripes, of a real one's size.
  std::string modules(21 * 21, code % 2 ? '1' : '0');
  waiting_.push_back([this, code, modules] { events_->on_code(code, 21, modules); });
}

}  // namespace nthtree::app
