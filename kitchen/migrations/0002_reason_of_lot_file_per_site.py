from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("kitchen", "0001_start")]

    operations = [
        migrations.AddField(
            model_name="lot",
            name="reason",
            field=models.CharField(blank=True, default="", max_length=200),
        ),
        migrations.AddField(
            model_name="lot",
            name="attributes",
            field=models.JSONField(default=list),
        ),
        migrations.AlterField(
            model_name="logfile",
            name="digest",
            field=models.CharField(max_length=64),
        ),
        migrations.AddConstraint(
            model_name="logfile",
            constraint=models.UniqueConstraint(fields=("site", "digest"), name="logfile_site_digest"),
        ),
    ]
