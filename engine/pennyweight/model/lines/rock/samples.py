"""Grade from few samples: means, how far they can be trusted, sampling error."""

import numpy as np

from ....formulas import smallest
from ....trade import head, lognormal, quantiles, samples, sampling
from ...axes import SAMPLE, Axis
from ...line import Section

found = Section("Samples", "Mean grade of the samples")
trust = Section("Samples", "Lognormality test")
error = Section("Samples", "Sampling error")
table = Section("Samples", "Sample assays")
ranked = Section("Samples", "Sorted log grades and normal scores")
series = Section("Samples", "Series terms of Sichel's factor")

RANK = Axis("rank", "Rank", "count", SAMPLE.values, down=True)
TERM = Axis(
    "term", "Term", "count", tuple(range(1, lognormal.SICHEL_TERMS + 1)), down=True
)

table.entries(
    "sample_grade",
    "sample_weight",
    "sample_coarse_mass",
    "sample_coarse_grade",
    "sample_fine_mass",
)


@table.line("In use", "count", over="sample")
def sample_used(sample_weight):
    """1 if a weight is given."""
    return np.where(sample_weight > 0, 1, 0)


@table.line("Sample grade", "grade", over="sample")
def sample_value(
    sample_grade, sample_coarse_mass, sample_coarse_grade, sample_fine_mass, one_gram
):
    """Screen-fire: mass-weighted fractions; otherwise the assay."""
    fine_mass = np.where(sample_fine_mass > 0, sample_fine_mass, one_gram)
    return head.metallics_grade(
        sample_coarse_mass, sample_coarse_grade, fine_mass, sample_grade
    )


@table.line("Weight used", over="sample")
def sample_share(sample_weight, sample_count):
    """Sample weight; 1 for all rows without samples."""
    return np.where(sample_count > 0, sample_weight, 1)


@table.line("Log grade", over="sample")
def sample_log(sample_value, sample_constant, sample_used, one_grade):
    """Natural logarithm of grade plus constant; 0 if undefined."""
    grade = sample_value + sample_constant
    return np.log(np.where(grade > 0, grade, one_grade) / one_grade) * sample_used


@table.line("Squared deviation", over="sample")
def sample_deviation(sample_log, sample_log_mean, sample_used):
    """Of the log grade from its mean."""
    deviation = sample_log - sample_log_mean
    return sample_used * deviation * deviation


@table.line("Sort key", over="sample")
def sample_sortable(sample_log, sample_used, beyond_any):
    """Log grade; unused rows go last."""
    return np.where(sample_used > 0, sample_log, beyond_any)


@ranked.line("Sorted deviation", over="rank")
def sample_sorted(rank, sample_sortable, sample_count, sample_log_mean):
    """Of the sorted log grades from their mean."""
    value = smallest(sample_sortable, rank)
    return np.where(rank <= sample_count, value - sample_log_mean, 0)


@ranked.line("Normal score", over="rank")
def sample_score(rank, sample_count):
    """Expected normal value of this rank."""
    count = np.maximum(sample_count, 1)
    score = quantiles.normal_score(np.minimum(rank, count), count)
    return np.where(rank <= sample_count, score, 0)


@found.line("Samples used", "count")
def sample_count(sample_used):
    """Rows with a weight."""
    return np.sum(sample_used, axis=0)


@found.line("Zero assays", "count")
def sample_zeros(sample_used, sample_value, sample_constant):
    """No logarithm unless a constant is added."""
    return np.sum((sample_value + sample_constant <= 0) * sample_used, axis=0)


@found.line("Weighted mean grade", "grade")
def sample_weighted_mean(sample_value, sample_share):
    """Weighted by width or mass."""
    return samples.weighted_mean(sample_value, sample_share, axis=0)


@found.line("Mean of log grades")
def sample_log_mean(sample_log, sample_count):
    """Unweighted, natural logarithms."""
    return np.sum(sample_log, axis=0) / np.maximum(sample_count, 1)


@found.line("Variance of log grades")
def sample_log_variance(sample_deviation, sample_count):
    """Divided by n - 1."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count - 1, 1)


@found.line("Variance of log grades, divided by n")
def sichel_variance(sample_deviation, sample_count):
    """For Sichel's factor."""
    return np.sum(sample_deviation, axis=0) / np.maximum(sample_count, 1)


@series.line("Series term", over="term", start="everything")
def closing_sichel(opening_sichel, term, sichel_count, sichel_variance):
    """From the previous term."""
    return lognormal.sichel_term(opening_sichel, term, sichel_count, sichel_variance)


@found.line("Sample number for Sichel's factor", "count")
def sichel_count(sample_count, everything):
    """At least two."""
    return np.maximum(sample_count, everything + 1)


@found.line("Sichel's factor")
def sichel_factor(closing_sichel):
    """Multiplies the geometric mean."""
    return 1 + np.sum(closing_sichel, axis=0)


@found.line("Lognormal mean (Finney, Sichel)", "grade")
def sample_lognormal_mean(
    sample_log_mean,
    sichel_factor,
    sample_constant,
    sample_count,
    sample_zeros,
    one_grade,
):
    """n/a with fewer than two samples or a zero assay."""
    mean = np.exp(sample_log_mean) * sichel_factor * one_grade - sample_constant
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    return np.where(usable, mean, np.nan)


@found.line("Cox interval, centre of the logarithm")
def cox_middle(sample_log_mean, sample_log_variance, sichel_count):
    """Log mean plus half the log variance."""
    return lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[0]


@found.line("Cox interval, half-width of the logarithm")
def cox_half(sample_log_mean, sample_log_variance, sichel_count, sample_confidence):
    """With Student's t."""
    spread = lognormal.cox_terms(sample_log_mean, sample_log_variance, sichel_count)[1]
    return spread * quantiles.student_t(sample_confidence, sichel_count - 1)


@found.line("Mean grade, lower confidence limit", "grade")
def sample_mean_low(
    cox_middle, cox_half, sample_constant, sample_count, sample_zeros, one_grade
):
    """At the confidence chosen; unreliable with few samples."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    mean = np.exp(cox_middle - cox_half) * one_grade - sample_constant
    return np.where(usable, mean, np.nan)


@found.line("Mean grade, upper confidence limit", "grade")
def sample_mean_high(
    cox_middle, cox_half, sample_constant, sample_count, sample_zeros, one_grade
):
    """At the confidence chosen; too low with few samples."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    mean = np.exp(cox_middle + cox_half) * one_grade - sample_constant
    return np.where(usable, mean, np.nan)


@found.line("Mean grade used", "grade")
def sample_mean(
    sample_mean_method,
    sample_weighted_mean,
    sample_lognormal_mean,
    sample_count,
    sample_zeros,
):
    """As chosen; the weighted mean if there is no lognormal mean."""
    usable = np.logical_and(sample_count > 1, sample_zeros == 0)
    wanted = np.logical_and(usable, sample_mean_method == "lognormal")
    return np.where(wanted, sample_lognormal_mean, sample_weighted_mean)


@trust.line("Correlation with normal scores")
def sample_straightness(sample_sorted, sample_score, sample_deviation):
    """1 for perfectly normal logarithms."""
    size = np.sum(sample_deviation, axis=0) * np.sum(
        sample_score * sample_score, axis=0
    )
    product = np.sum(sample_sorted * sample_score, axis=0)
    return np.where(size > 0, product / np.sqrt(np.where(size > 0, size, 1)), 1)


@trust.line("Critical correlation at 5%")
def sample_straightness_needed(sample_count, fewest_to_test):
    """Ryan-Joiner test."""
    return lognormal.ryan_joiner_critical(np.maximum(sample_count, fewest_to_test))


@trust.line("Lognormality test")
def sample_lognormal(
    sample_straightness, sample_straightness_needed, sample_count, fewest_to_test
):
    """Ryan-Joiner; few samples never reject it."""
    straight = np.where(
        sample_straightness >= sample_straightness_needed, "credible", "not credible"
    )
    return np.where(sample_count < fewest_to_test, "too few to tell", straight)


@error.line("Grade for the sampling error", "g/tonne")
def sampling_grade(sample_weighted_mean, ore_grade, g_per_t_per_grade):
    """Weighted mean, or the entered grade without samples."""
    grade = np.where(sample_weighted_mean > 0, sample_weighted_mean, ore_grade)
    return grade * g_per_t_per_grade


@error.line("Sampling error of one sample", "share")
def one_sample_error(
    sample_mass,
    sampling_grade,
    sample_top_size,
    sample_gold_size,
    sample_liberation_exponent,
):
    """Relative standard deviation, by Gy; at least the grain limit."""
    return sampling.sampling_error(
        sample_mass,
        sampling_grade,
        sample_top_size,
        sample_gold_size,
        sample_liberation_exponent,
    )


@error.line("Sample mass for half the error", "g")
def mass_to_halve_error(sample_mass):
    """Four times the mass halves the error."""
    return sampling.mass_to_reduce(sample_mass)
