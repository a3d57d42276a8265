// SPDX-License-Identifier: Apache-2.0
//
// What an office's browser reads without the app and without a script: the day as a page, the
// farm's counts and records as files. Behind a manager's key, as a bearer or as the password of
// HTTP Basic (RFC 7617), which a browser asks for by itself.
#include <openssl/evp.h>

#include <map>
#include <vector>

#include "base/clock.h"
#include "base/text.h"
#include "hub/day_page.h"
#include "hub/season_of_store.h"
#include "hub/service.h"
#include "ledger/record_table.h"

namespace nthtree::hub {
namespace {

constexpr std::string_view path_day = "/v1/day";
constexpr std::string_view path_style = "/v1/day.css";
constexpr std::string_view path_counts = "/v1/counts.csv";
constexpr std::string_view path_records = "/v1/records.csv";
constexpr std::string_view path_lines = "/v1/records.jsonl";

std::string_view path_of(std::string_view target) { return target.substr(0, target.find('?')); }

// "date=2026-02-05&lang=es"; days and languages need no decoding.
std::map<std::string, std::string> query_of(std::string_view target) {
  std::map<std::string, std::string> query;
  const std::size_t mark = target.find('?');
  std::string_view text = mark == target.npos ? "" : target.substr(mark + 1);
  while (!text.empty()) {
    const std::string_view part = text.substr(0, text.find('&'));
    text.remove_prefix(std::min(text.size(), part.size() + 1));
    const std::size_t equals = part.find('=');
    if (equals != part.npos) {
      query[std::string(part.substr(0, equals))] = part.substr(equals + 1);
    }
  }
  return query;
}

// The password of "Basic bmFtZTpwYXNzd29yZA=="; empty where that is none.
std::string basic_password(std::string_view coded) {
  if (coded.empty() || coded.size() % 4 != 0 || coded.size() > 400) return "";
  std::string plain(coded.size(), '\0');
  const int length = EVP_DecodeBlock(reinterpret_cast<unsigned char*>(plain.data()),
                                     reinterpret_cast<const unsigned char*>(coded.data()),
                                     static_cast<int>(coded.size()));
  if (length < 0) return "";
  plain.resize(static_cast<std::size_t>(length));
  while (!plain.empty() && plain.back() == '\0') plain.pop_back();  // what padding leaves
  const std::size_t colon = plain.find(':');
  return colon == plain.npos ? "" : plain.substr(colon + 1);
}

std::string secret_of_page(const HttpRequest& head) {
  constexpr std::string_view basic = "Basic ";
  const std::string_view text = head.authorization;
  if (text.substr(0, basic.size()) == basic) return basic_password(text.substr(basic.size()));
  return std::string(secret_of(head));
}

struct Page {
  std::string type, file_name, body;
};

Page page_of(Store& store, std::string_view path, const std::map<std::string, std::string>& query,
             std::int64_t now_ms) {
  const auto word = [&](const char* name) {
    const auto found = query.find(name);
    return found == query.end() ? std::string() : found->second;
  };
  const Days days{word("from"), word("to")};
  const char* const csv = "text/csv; charset=utf-8";
  if (path == path_lines) return {"application/x-ndjson", "records.jsonl", lines_of(store, days)};
  if (path == path_records) return {csv, "records.csv", record_csv(store, days)};
  if (path == path_counts) return {csv, "counts.csv", count_csv(store, days)};
  const ledger::Season season = season_of(store, {});
  std::int64_t at_ms = 0;
  const bool is_day = base::parse_iso(word("date"), at_ms);
  return {"text/html; charset=utf-8", "",
          day_page(season, {is_day ? at_ms / base::day_ms : season.day_of(now_ms), word("lang")})};
}

}  // namespace

bool is_page(std::string_view path) {
  return path == path_day || path == path_style || path == path_counts || path == path_records ||
         path == path_lines;
}

HttpReply Service::page_reply(std::string type, std::string body) const {
  HttpReply sent = reply(200, std::move(body));
  sent.headers[0].second = std::move(type);
  for (auto& [name, value] : sent.headers) {
    if (name == "Content-Security-Policy") {
      value = "default-src 'none'; style-src 'self'; frame-ancestors 'none'; form-action 'none'; "
              "base-uri 'none'";
    }
  }
  return sent;
}

// From the head alone: the style, and whoever may not read the rest.
std::optional<HttpReply> Service::refuse_page(const HttpRequest& head) {
  if (head.method != "GET" && head.method != "HEAD") {
    auto refusal = error_reply(405, "wrong_method", "only GET and HEAD are allowed here");
    refusal.headers.emplace_back("Allow", "GET, HEAD");
    return refusal;
  }
  if (path_of(head.target) == path_style) return page_reply("text/css", day_page_style);
  const std::string secret = secret_of_page(head);
  const auto phone = keys_.find(secret);
  if (!phone) {
    HttpReply refusal = refuse_key(secret);
    refusal.headers.emplace_back("WWW-Authenticate", "Basic realm=\"Nthtree\", charset=\"UTF-8\"");
    return refusal;
  }
  if (phone->role != orchard::Role::manager) {
    return error_reply(403, "not_manager", "only a manager's key may read this");
  }
  if (requests_.take(std::to_string(phone->id), settings_.steady_seconds())) return std::nullopt;
  metrics_.slowed_down();
  return error_reply(429, "slow_down", "too many requests of this key");
}

void Service::handle_page(const HttpRequest& request, const Done& done) {
  const auto page = std::make_shared<Page>();
  const std::string path(path_of(request.target));
  const bool taken = writer_.read(
      [=, this, query = query_of(request.target)](Store& store) {
        *page = page_of(store, path, query, settings_.wall_ms());
      },
      [=, this](const base::Status& status) {
        if (!status) return done(reply(503, sync::write_error(status.error())));
        HttpReply sent = page_reply(page->type, std::move(page->body));
        if (!page->file_name.empty()) {
          sent.headers.emplace_back("Content-Disposition",
                                    "attachment; filename=\"" + page->file_name + '"');
        }
        done(std::move(sent));
      });
  if (!taken) done(error_reply(503, "busy", "too many requests at once"));
}

}  // namespace nthtree::hub
