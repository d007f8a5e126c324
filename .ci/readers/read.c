/* Reads calendars with libical. See README.md for what it prints. */
#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void die(const char *what, const char *name)
{
    fprintf(stderr, "read.c: %s: %s\n", name, what);
    exit(1);
}

static char *slurp(const char *name)
{
    FILE *f = fopen(name, "rb");
    if (!f || fseek(f, 0, SEEK_END))
        die("cannot be opened", name);
    long n = ftell(f);
    char *s = malloc(n + 1);
    rewind(f);
    if (!s || fread(s, 1, n, f) != (size_t)n)
        die("cannot be read", name);
    s[n] = 0;
    fclose(f);
    return s;
}

/* The calendar in the file, NULL where libical refuses it or finds an error in it. */
static icalcomponent *sound(const char *name)
{
    char *s = slurp(name);
    icalcomponent *c = icalparser_parse_string(s);
    free(s);
    if (!c || icalcomponent_isa(c) != ICAL_VCALENDAR_COMPONENT)
        return NULL;
    icalrestriction_check(c);
    if (icalcomponent_count_errors(c) || icalcomponent_count_components(c, ICAL_XLICINVALID_COMPONENT)) {
        icalcomponent_free(c);
        return NULL;
    }
    return c;
}

static icalcomponent *parse(const char *name)
{
    icalcomponent *c = sound(name);
    if (!c)
        die("libical refuses it", name);
    return c;
}

static void string(const char *key, const char *s)
{
    printf("\"%s\":\"", key);
    for (; s && *s; s++) {
        unsigned char c = *s;
        if (c == '"' || c == '\\')
            printf("\\%c", c);
        else if (c < ' ')
            printf("\\u%04x", c);
        else
            putchar(c);
    }
    putchar('"');
}

static void event(const char *file, icalcomponent *e)
{
    struct icaltimetype start = icalcomponent_get_dtstart(e), end = icalcomponent_get_dtend(e);
    icalproperty *status = icalcomponent_get_first_property(e, ICAL_STATUS_PROPERTY);
    char wall[40], until[40] = "";

    snprintf(wall, sizeof wall, "%04d%02d%02d", start.year, start.month, start.day);
    if (icaltime_is_date(start))
        snprintf(until, sizeof until, "%04d%02d%02d", end.year, end.month, end.day);
    else
        snprintf(wall + 8, sizeof wall - 8, "T%02d%02d%02d", start.hour, start.minute, start.second);
    putchar('{');
    string("calendar", file);
    putchar(',');
    string("uid", icalcomponent_get_uid(e));
    putchar(',');
    string("summary", icalcomponent_get_summary(e));
    putchar(',');
    string("description", icalcomponent_get_description(e));
    putchar(',');
    string("status", status ? icalproperty_status_to_string(icalproperty_get_status(status)) : "");
    putchar(',');
    string("wall", wall);
    if (*until) {
        putchar(',');
        string("until", until);
    } else {
        printf(",\"start\":%lld", (long long)icaltime_as_timet_with_zone(start, icaltime_get_timezone(start)));
        printf(",\"end\":%lld", (long long)icaltime_as_timet_with_zone(end, icaltime_get_timezone(end)));
    }
    printf(",\"sequence\":%d}\n", icalcomponent_get_sequence(e));
}

/* The file's name with .steps is a list of wall times: from, to and step, in seconds, upwards. */
static void zone(const char *name)
{
    icalcomponent *c = parse(name), *z = icalcomponent_get_first_component(c, ICAL_VTIMEZONE_COMPONENT);
    icaltimezone *tz = icaltimezone_new(), *utc = icaltimezone_get_utc_timezone();
    long long from, to, step, last = -1000000;
    const char *between = "";
    char steps[4096];

    snprintf(steps, sizeof steps, "%s.steps", name);
    FILE *f = fopen(steps, "r");
    if (!f)
        die("cannot be opened", steps);
    if (!z || !icaltimezone_set_component(tz, icalcomponent_new_clone(z)))
        die("no zone", name);
    putchar('{');
    string("zone", icaltimezone_get_tzid(tz));
    printf(",\"runs\":[");
    while (fscanf(f, "%lld %lld %lld", &from, &to, &step) == 3) {
        for (long long wall = from; wall <= to; wall += step) {
            struct icaltimetype t = icaltime_from_timet_with_zone((time_t)wall, 0, utc);
            t.zone = tz;
            long long offset = wall - (long long)icaltime_as_timet_with_zone(t, tz);
            if (offset != last) {
                printf("%s[%lld,%lld]", between, wall, offset);
                between = ",";
            }
            last = offset;
        }
    }
    printf("]}\n");
    fclose(f);
    icaltimezone_free(tz, 1);
    icalcomponent_free(c);
}

int main(int n, char **arg)
{
    icalerror_set_errors_are_fatal(0);
    printf("{\"reader\":\"libical\",\"version\":\"%s\"}\n", VERSION); /* of the library, from pkg-config */
    if (n > 2 && !strcmp(arg[1], "events")) {
        for (int i = 2; i < n; i++) {
            icalcomponent *c = parse(arg[i]);
            icalcomponent *e = icalcomponent_get_first_component(c, ICAL_VEVENT_COMPONENT);
            for (; e; e = icalcomponent_get_next_component(c, ICAL_VEVENT_COMPONENT))
                event(arg[i], e);
            icalcomponent_free(c);
        }
    } else if (n > 2 && !strcmp(arg[1], "judge")) {
        for (int i = 2; i < n; i++) {
            icalcomponent *c = sound(arg[i]);
            putchar('{');
            string("calendar", arg[i]);
            printf(",\"refused\":%s}\n", c ? "false" : "true");
            if (c)
                icalcomponent_free(c);
        }
    } else if (n > 2 && !strcmp(arg[1], "zones")) {
        for (int i = 2; i < n; i++)
            zone(arg[i]);
    } else {
        die("usage: events|judge|zones FILE...", "arguments");
    }
    return 0;
}
