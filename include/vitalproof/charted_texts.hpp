// The texts of a set's readings as they were charted.
// Used by vital sets. Promises that a set without such texts, as nearly every one is, pays a
// pointer for them, so that millions of sets stay small; a copy has texts of its own.
#pragma once

#include <vitalproof/charted_text.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

class charted_texts {
public:
    constexpr charted_texts() = default;
    constexpr charted_texts(const charted_texts& other)
        : texts_(other.texts_ == nullptr ? nullptr : new all_texts(*other.texts_)) {}
    constexpr charted_texts(charted_texts&& other) noexcept
        : texts_(std::exchange(other.texts_, nullptr)) {}
    constexpr charted_texts& operator=(charted_texts other) noexcept {
        std::swap(texts_, other.texts_);
        return *this;
    }
    constexpr ~charted_texts() { delete texts_; }

    /// The text of a sign's reading, where the source had one that says more than the value.
    constexpr charted_text operator[](sign_id sign) const {
        return texts_ == nullptr ? charted_text{} : (*texts_)[index_of(sign)];
    }
    template <VitalSign S>
    constexpr charted_text operator[](S) const {
        return (*this)[S::info.id];
    }

    /// Never changes what a reading means; an empty text takes the last one away.
    constexpr void put(sign_id sign, const charted_text& text) {
        if (texts_ == nullptr) {
            if (text.empty()) {
                return;
            }
            texts_ = new all_texts{};
        }
        (*texts_)[index_of(sign)] = text;
    }
    template <VitalSign S>
    constexpr void put(S, const charted_text& text) {
        put(S::info.id, text);
    }

private:
    using all_texts = std::array<charted_text, sign_count>;

    all_texts* texts_ = nullptr;  // by sign_id
};

}  // namespace vitalproof::inline VITALPROOF_ABI
